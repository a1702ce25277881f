import * as z from 'zod';

/** Names that are texts, kept apart by the compiler, so that none is handed in where another is wanted. */

const UUID = /^[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}$/;

/** The id of an entry: a UUID (RFC 9562) in lower case, made by its writer. */
export const entryIdSchema = z
  .string()
  .regex(UUID, { error: 'a UUID in lower case, such as "0197218a-3c5e-7d61-9b0a-4f2c81d7e6a3"' })
  .brand<'entry id'>();
export type EntryId = z.output<typeof entryIdSchema>;

/** Whether a text can be the id of an entry. */
export const isEntryId = (text: string): text is EntryId => UUID.test(text);

/** One line: no control characters, no blanks at its ends. */
const oneLine = (longest: number) => new RegExp(`^(?!\\s)[^\\p{Cc}\\p{Cf}\\u2028\\u2029]{1,${longest}}(?<!\\s)$`, 'u');
export const lineSchema = (longest: number) =>
  z.string().regex(oneLine(longest), {
    error: `a text of one line, 1 to ${longest} characters, no blanks at its ends`,
  });

const LONGEST_SITE = 100;
const SITE = oneLine(LONGEST_SITE);

/** What a site is called in the log book, such as "tarn-lane": its chain of entries stands under it. */
export const siteIdSchema = lineSchema(LONGEST_SITE).brand<'site id'>();
export type SiteId = z.output<typeof siteIdSchema>;

/** Whether a text can be what a site is called in the log book. */
export const isSiteId = (text: string): text is SiteId => SITE.test(text);

export const sha256Schema = z.string().regex(/^[0-9a-f]{64}$/, { error: 'a SHA-256 in lower-case hex, 64 digits' });

/** The id of a map that a log book keeps: the SHA-256 of its file. */
export const mapIdSchema = sha256Schema.brand<'map id'>();
export type MapId = z.output<typeof mapIdSchema>;
