import * as z from 'zod';
import { type Told, told } from '../catalogue/index.ts';
import { explain, type Problem, parseJson, problem } from '../site-map/index.ts';
import type { Head } from './chain.ts';
import { sealShape } from './entry-format.ts';
import { siteIdSchema } from './id-format.ts';
import type { PeopleHead } from './people-record.ts';
import { canonicalText, type Sha256 } from './seal.ts';

/**
 * Heads of chains, kept apart from their log book: what was there then must be there now. The file holds its own SHA-256,
 * so that a damaged one is not taken for a book that lost something.
 */
const FORMAT = 'oilshed-heads';
const VERSION = 1;

/** The end of a site's chain, as a file keeps it. */
export const headShape = z.object({ site: siteIdSchema, seq: sealShape.seq, hash: sealShape.hash });
const headsFile = z.object({
  format: z.literal(FORMAT),
  version: z.literal(VERSION),
  heads: z.array(headShape),
  people: headShape.omit({ site: true }).nullable().describe('the end of the record of people; null where it has none'),
  sha256: sealShape.hash.describe('SHA-256 of the RFC 8785 text of everything else'),
});

export type KeptHead = z.infer<typeof headShape>;

/** The same of any chain, the record of people among them. */
export type ChainHead = Omit<KeptHead, 'site'> & { site: string };

/** The heads of a whole book: of each site, and of its record of people. */
export type KeptHeads = Pick<z.infer<typeof headsFile>, 'heads' | 'people'>;

const checkOf = ({ heads, people }: KeptHeads, sha256: Sha256) =>
  sha256(new TextEncoder().encode(canonicalText({ format: FORMAT, version: VERSION, heads, people })));

/** The heads of a book that can be kept: those of chains that have an entry. */
export const keptHeads = (heads: readonly Head[], { seq, hash }: PeopleHead): KeptHeads => ({
  heads: heads.flatMap((head) => (head.hash === null ? [] : [{ site: head.site, seq: head.seq, hash: head.hash }])),
  people: hash === null ? null : { seq, hash },
});

/** The record of people as one more chain. The record itself holds this name, of books that lacked a part of it, so it stays English. */
export const PEOPLE = 'the record of people';

/**
 * Heads as the text of a file, a line each, for `readHeads`. Its SHA-256 guards against damage, not against somebody
 * who writes a file anew: keep it where who can write to the log book cannot. O(heads).
 */
export function headsText(kept: KeptHeads, sha256: Sha256): string {
  const { heads, people } = kept;
  const lines = heads.map(({ site, seq, hash }) => `  ${JSON.stringify({ site, seq, hash })}`);
  const list = lines.length > 0 ? `[\n${lines.join(',\n')}\n ]` : '[]';
  return `{"format": "${FORMAT}", "version": ${VERSION}, "heads": ${list},\n "people": ${JSON.stringify(people)}, "sha256": "${checkOf(kept, sha256)}"}\n`;
}

/** Reads what `headsText` wrote. Never throws for bad input: what is not as it was written is a `bad-file`. O(text). */
export function readHeads(text: string, sha256: Sha256): { kept?: KeptHeads; problems: Problem[] } {
  const { value, problems } = parseJson(text);
  if (problems.length > 0) return { problems };
  const read = headsFile.safeParse(value);
  if (!read.success) return { problems: explain(headsFile, value, null) };
  const { heads, people } = read.data;
  if (checkOf(read.data, sha256) === read.data.sha256) return { kept: { heads, people }, problems };
  const words = { message: told('log-book.heads-damaged'), cure: told('log-book.heads-damaged-remedy') };
  return { problems: [problem('bad-file', { id: null, field: 'sha256' }, words)] };
}

/**
 * What a book lacks of a head that was kept: entries that are gone from the end of its site, or another in its place.
 * `end` is the number of the site's last entry now, `found` the hash of its entry with the head's number, null where
 * there is none.
 */
export function behindHead({ site, seq, hash }: ChainHead, end: number, found: string | null, cure: Told): Problem[] {
  if (found === hash) return [];
  const chain = { chain: site === PEOPLE ? 'people' : 'site', site };
  const words = { message: lost(chain, end, seq), found: found ?? told('map.nothing'), allowed: hash, cure };
  return [problem('log-behind', { id: null, field: null }, words)];
}

function lost(chain: { chain: string; site: string }, end: number, headSeq: number): Told {
  const seq = String(headSeq);
  if (end >= headSeq) return told('log-book.entry-other', { ...chain, seq });
  return headSeq === end + 1
    ? told('log-book.entry-gone', { ...chain, seq })
    : told('log-book.entries-gone', { ...chain, first: String(end + 1), last: seq });
}
