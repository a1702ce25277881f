import type * as z from 'zod';
import type { entryIdSchema, mapIdSchema, siteIdSchema } from './id-format.ts';

/** Names that are texts, kept apart by the compiler, so that none is handed in where another is wanted. */

/** The id of an entry: a UUID (RFC 9562) in lower case, made by its writer. */
export type EntryId = z.output<typeof entryIdSchema>;
/** What a site is called in the log book, such as "tarn-lane": its chain of entries stands under it. */
export type SiteId = z.output<typeof siteIdSchema>;
/** The id of a map that a log book keeps: the SHA-256 of its file. */
export type MapId = z.output<typeof mapIdSchema>;

export const UUID = /^[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}$/;
/** One line: no control characters, no blanks at its ends. */
export const oneLine = (longest: number) =>
  new RegExp(`^(?!\\s)[^\\p{Cc}\\p{Cf}\\u2028\\u2029]{1,${longest}}(?<!\\s)$`, 'u');
export const LONGEST_SITE = 100;
const SITE = oneLine(LONGEST_SITE);

/** Whether a text can be the id of an entry: a UUID in lower case, of any version. */
export const isEntryId = (text: string): text is EntryId => UUID.test(text);

/**
 * Whether a text can be what a site is called in the log book: one line of 1 to 100 characters, no control characters,
 * no blanks at its ends.
 *
 * @example
 * import { isSiteId } from 'oilshed/log-book';
 * isSiteId('tarn-lane'); // → true
 * isSiteId(' tarn-lane'); // → false
 */
export const isSiteId = (text: string): text is SiteId => SITE.test(text);
