import * as z from 'zod';
import { type BodyOf, bodies, ENTRY_KINDS, type EntryKind, timeText } from './bodies.ts';
import { type EntryId, entryIdSchema, lineSchema, type SiteId, sha256Schema, siteIdSchema } from './ids.ts';

/** An entry of the log book: as its writer makes it, as acceptance seals it, and as what is kept is read. */

const MOST_PHOTOS = 100;

export const common = {
  id: entryIdSchema.describe('made by the writer, UUIDv7 for choice'),
  site: siteIdSchema,
  at: timeText.describe('when it happened; kept as written'),
  by: lineSchema(200).describe('who writes it'),
  photos: z
    .array(sha256Schema)
    .max(MOST_PHOTOS, { error: `at most ${MOST_PHOTOS} photos` })
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

interface Common {
  id: EntryId;
  site: SiteId;
  at: string;
  by: string;
  photos?: string[];
}

/** An entry of one kind, or of one of several. Keys that are not listed are kept, at its top as in its body. */
export type EntryOf<K extends EntryKind> = { [P in K]: Common & { kind: P; body: BodyOf<P> } }[K];

/** An entry whose body fits its kind: all that is written is such. */
export type NewEntry = EntryOf<EntryKind>;

/**
 * An entry that a log book keeps though its body does not fit its kind: written when other bodies were allowed, or by a
 * later version. It is shown, hashed and exported as it was written (`asWritten`), and counts for nothing.
 */
export interface UnfitEntry extends Common {
  kind: 'unfit';
  /** What it was written with. */
  body: { kind: string; body: unknown };
}

/** An entry as a log book has it. */
export type Entry = NewEntry | UnfitEntry;

/** What acceptance knows of an entry: its place in its site's chain, and the clock. */
export interface Seal {
  /** 1, 2, 3 … per site. */
  seq: number;
  /** When it was accepted, ISO 8601. A clock may go wrong: order is by `seq`. */
  received: string;
  /** `hash` of the site's entry before; null for the first. */
  previous: string | null;
  /** The name under which its sender was signed in; null where nobody signs in, or it came from the machine itself. */
  account: string | null;
}

/** Entries that were accepted before accounts were sealed have none. */
export type SealedEntry = Entry & Omit<Seal, 'account'> & Partial<Pick<Seal, 'account'>> & { hash: string };

/** A sealed entry of one kind. */
export type SealedOf<K extends Entry['kind']> = Extract<SealedEntry, { kind: K }>;

/** Those of one kind, in their order. O(entries). */
export const ofKind = <E extends Entry, K extends E['kind']>(
  entries: readonly E[],
  kind: K,
): Extract<E, { kind: K }>[] => entries.filter((entry): entry is Extract<E, { kind: K }> => entry.kind === kind);

/** The id of the place that an entry speaks of; undefined where it names none, or several. */
export function placeOf(entry: Entry): string | undefined {
  switch (entry.kind) {
    case 'visit':
    case 'finding':
    case 'action':
    case 'sample':
    case 'investigation':
    case 'assessment':
    case 'order':
      return entry.body.at;
    case 'spill':
      return entry.body.zone;
    case 'link-test':
      return entry.body.link;
    case 'corrective':
    case 'correction':
    case 'map':
    case 'round':
    case 'rain':
    case 'unfit':
      return undefined;
    default:
      return entry satisfies never;
  }
}

/** What its writer noted in an entry; undefined where nothing was. */
export const noteOf = (entry: Entry): string | undefined => (entry.kind === 'unfit' ? undefined : entry.body.note);
