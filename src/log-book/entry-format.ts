import * as z from 'zod';
import { told } from '../catalogue/index.ts';
import { allows } from '../site-map/index.ts';
import { bodies, ENTRY_KINDS, type EntryKind, timeText } from './bodies.ts';
import { entryIdSchema, lineSchema, sha256Schema, siteIdSchema } from './id-format.ts';

/** The form of entries, as schemas; apart from their types, so that a page which only shows entries needs none of it. */

const MOST_PHOTOS = 100;

export const common = {
  id: entryIdSchema.describe('made by the writer, UUIDv7 for choice'),
  site: siteIdSchema,
  at: timeText.describe('when it happened; kept as written'),
  by: lineSchema(200).describe('who writes it'),
  photos: z
    .array(sha256Schema)
    .max(MOST_PHOTOS, allows(told('log-book.photos-at-most', { most: MOST_PHOTOS })))
    .optional(),
};

const entryOf = <K extends EntryKind>(kind: K) =>
  z.looseObject({ ...common, kind: z.literal(kind), body: bodies[kind] });

const [firstKind, ...otherKinds] = ENTRY_KINDS.map(entryOf);
/** Every kind of entry, for the API's description; `readEntry` is what checks one. */
export const entrySchema = z.discriminatedUnion('kind', [firstKind, ...otherKinds]);

/** What acceptance adds to an entry. */
export const sealShape = {
  seq: z.number().int().min(1).describe('1, 2, 3 … per site'),
  received: z.string().describe('when it was accepted, ISO 8601'),
  previous: sha256Schema.nullable().describe('hash of the entry before; null for the first of its site'),
  hash: sha256Schema.describe('SHA-256 of the RFC 8785 text of the entry with everything but hash'),
};

/** Acceptance adds this too; a sender's own is passed over, not refused, so that what was read can be sent again as it is. */
export const accountShape = {
  account: z
    .string()
    .nullish()
    .describe('who was signed in; null at the machine itself; missing in entries from before it was kept'),
};
