import * as z from 'zod';
import { explain, type Problem, parseJson, problem } from '../site-map/index.ts';
import type { Head } from './chain.ts';
import { sealShape } from './entry.ts';
import { canonicalText, type Sha256 } from './seal.ts';

/**
 * Heads of chains, kept apart from their log book: what was there then must be there now. The file holds its own SHA-256,
 * so that a damaged one is not taken for a book that lost something.
 */
const FORMAT = 'oilshed-heads';
const VERSION = 1;

/** The end of a site's chain, as a file keeps it. */
export const headShape = z.object({ site: z.string().min(1), seq: sealShape.seq, hash: sealShape.hash });
const headsFile = z.object({
  format: z.literal(FORMAT),
  version: z.literal(VERSION),
  heads: z.array(headShape),
  sha256: sealShape.hash.describe('SHA-256 of the RFC 8785 text of everything else'),
});

export type KeptHead = z.infer<typeof headShape>;

const withoutCheck = (heads: readonly KeptHead[]) => ({ format: FORMAT, version: VERSION, heads });
const checkOf = (heads: readonly KeptHead[], sha256: Sha256) =>
  sha256(new TextEncoder().encode(canonicalText(withoutCheck(heads))));

/** The heads of a book that can be kept: those of sites with an entry. */
export const keptHeads = (heads: readonly Head[]): KeptHead[] =>
  heads.flatMap(({ site, seq, hash }) => (hash === null ? [] : [{ site, seq, hash }]));

/** Heads as the text of a file, a line each. O(heads). */
export function headsText(heads: readonly KeptHead[], sha256: Sha256): string {
  const lines = heads.map(({ site, seq, hash }) => `  ${JSON.stringify({ site, seq, hash })}`);
  const list = lines.length > 0 ? `[\n${lines.join(',\n')}\n ]` : '[]';
  return `{"format": "${FORMAT}", "version": ${VERSION}, "heads": ${list},\n "sha256": "${checkOf(heads, sha256)}"}\n`;
}

/** Reads what `headsText` wrote. Never throws for bad input: what is not as it was written is a `bad-file`. O(text). */
export function readHeads(text: string, sha256: Sha256): { heads?: KeptHead[]; problems: Problem[] } {
  const { value, problems } = parseJson(text);
  if (problems.length > 0) return { problems };
  const read = headsFile.safeParse(value);
  if (!read.success) return { problems: explain(headsFile, value, null) };
  const { heads } = read.data;
  if (checkOf(heads, sha256) === read.data.sha256) return { heads, problems };
  const words = { message: 'its heads do not give its SHA-256', cure: 'take a copy that nobody changed' };
  return { problems: [problem('bad-file', { id: null, field: 'sha256' }, words)] };
}

/**
 * What a book lacks of a head that was kept: entries that are gone from the end of its site, or another in its place.
 * `end` is the number of the site's last entry now, `found` the hash of its entry with the head's number, null where
 * there is none.
 */
export function behindHead({ site, seq, hash }: KeptHead, end: number, found: string | null, cure: string): Problem[] {
  if (found === hash) return [];
  const gone = seq === end + 1 ? `entry ${seq} is` : `entries ${end + 1} to ${seq} are`;
  const message =
    end < seq
      ? `${gone} gone from the end of ${site}: they were there when its head was written down`
      : `entry ${seq} of ${site} is another than when its head was written down`;
  return [
    problem('log-behind', { id: null, field: null }, { message, found: found ?? 'nothing', allowed: hash, cure }),
  ];
}
