import { type Told, told } from '../catalogue/index.ts';
import { type Problem, problem } from '../site-map/index.ts';
import type { Entry, SealedEntry } from './entry.ts';
import type { EntryId, SiteId } from './ids.ts';
import { keptSealedEntry } from './read.ts';
import { asWritten, entryText, hashOf, type Sha256 } from './seal.ts';

/** An entry as a store keeps it: its canonical text, and what the store finds it by. */
export interface StoredEntry {
  id: EntryId;
  site: SiteId;
  seq: number;
  text: string;
}

/** The end of a site's chain. */
export interface Head {
  site: SiteId;
  /** Of its last entry; 0 for a chain without any. */
  seq: number;
  /** Of its last entry; null for a chain without any. */
  hash: string | null;
}

/** Looks through whole chains, one entry after the other, and lists everything that was changed since it was accepted. */
export interface ChainCheck {
  /**
   * Takes the next entry, in the order of site and seq. All entries of one site must come together, each chain from its
   * first entry on: a site that comes up again is taken to begin anew, and what came before is told as missing.
   */
  look(stored: StoredEntry): void;
  /** Closes the check against the heads that the store keeps apart, and gives back what was found. */
  end(heads: readonly Head[]): { entries: number; problems: Problem[] };
}

/**
 * Where the look at one site's chain stands; `hash` is undefined after an entry that cannot be read. The link to that
 * one cannot be told right or wrong, so the entry after it is not blamed as well.
 */
interface ChainProgress {
  site: SiteId;
  seq: number;
  hash: string | null | undefined;
  ids: Set<string>;
}

/**
 * Starts a check of whole chains. Found and named: text that was changed in any byte, entries that are missing or out
 * of order, a chain that does not link up, heads that do not fit, corrections of nothing earlier. Not found: a book
 * that was rewritten from some entry to its end, heads and all; against that, compare the head hash that reports and
 * exports print. O(1) memory but for the ids of one site; O(text) time.
 *
 * Each entry holds the hash of the one before it, and its own hash is of everything in it, that one too. So a hash
 * stands for the whole chain up to its entry: to change, take out or put in an entry and have every link fit, somebody
 * would have to write anew all entries after it, or find two texts of one SHA-256 (FIPS 180-4), which nobody can. A
 * change is told where it is: the entry whose content does not give its hash, or that does not follow the one before
 * it. What fits is proof of order and of absence of change since its head hash was known elsewhere, never of truth.
 *
 * The text is held byte by byte against the RFC 8785 text of what it says, since blanks or the order of keys could be
 * changed without touching the hash.
 *
 * @example
 * import { createHash } from 'node:crypto';
 * import { chainCheck, entryText, sealEntry } from 'oilshed/log-book';
 * const sha256 = (bytes: Uint8Array) => createHash('sha256').update(bytes).digest('hex');
 * const id = '0b8e9c1a-4d53-4c0e-9a53-5e8f6f3f7a01';
 * const entry = { id, site: 'tarn-lane', at: '2026-03-02', by: 'Ada', kind: 'action', body: { action: 'pump-out', at: 'SEP-1' } };
 * const sealed = sealEntry(entry, { seq: 1, received: '2026-03-02T09:00:00Z', previous: null, account: null }, sha256);
 * const problemsWith = (text: string) => {
 *   const check = chainCheck(sha256);
 *   check.look({ id, site: 'tarn-lane', seq: 1, text });
 *   return check.end([{ site: 'tarn-lane', seq: 1, hash: sealed.hash }]).problems.map(({ field }) => field);
 * };
 * problemsWith(entryText(sealed)); // → []
 * problemsWith(entryText(sealed).replace('SEP-1', 'SEP-2')); // → ['hash']
 */
export function chainCheck(sha256: Sha256): ChainCheck {
  const problems: Problem[] = [];
  const ends = new Map<string, ChainProgress>();
  let entries = 0;
  let standing: ChainProgress | null = null;
  return {
    look(stored) {
      entries++;
      if (standing?.site !== stored.site) {
        standing = { site: stored.site, seq: 0, hash: null, ids: new Set() };
        ends.set(stored.site, standing);
      }
      problems.push(...lookAt(stored, standing, sha256));
    },
    end(heads) {
      return { entries, problems: [...problems, ...headProblems(ends, heads)] };
    },
  };
}

const broken = (id: string | null, field: string | null, message: Told): Problem =>
  problem('chain-broken', { id, field }, { message, cure: told('log-book.compare-export') });

/**
 * What is wrong with the next entry of a chain; moves the standing on to it, by the hash that the entry says it has, so
 * that one changed entry is told once and does not make every entry after it look broken.
 */
function lookAt(stored: StoredEntry, standing: ChainProgress, sha256: Sha256): Problem[] {
  const { id, site, seq, text } = stored;
  const expected = standing.seq + 1;
  const before = standing.hash;
  const problems: Problem[] = [];
  if (seq !== expected) problems.push(broken(id, 'seq', gap(site, expected, seq)));
  standing.seq = seq;
  const entryHere = { seq: String(seq), site };
  const sealed = readSealed(text, sha256);
  standing.hash = sealed?.entry.hash;
  if (!sealed) return [...problems, broken(id, null, told('log-book.entry-unreadable', entryHere))];
  const { entry } = sealed;
  if (sealed.canonical !== text) problems.push(broken(id, null, told('log-book.entry-rewritten', entryHere)));
  if (sealed.hash !== entry.hash) problems.push(broken(id, 'hash', told('log-book.entry-other-hash', entryHere)));
  if (entry.id !== id || entry.site !== site || entry.seq !== seq) {
    const says = { saysSeq: String(entry.seq), saysSite: entry.site, id: entry.id };
    problems.push(broken(id, null, told('log-book.entry-elsewhere', { ...entryHere, ...says })));
  }
  if (before !== undefined && entry.previous !== before)
    problems.push(broken(id, 'previous', told('log-book.entry-unlinked', entryHere)));
  const corrects = correctedBy(entry);
  if (corrects !== null && !standing.ids.has(corrects))
    problems.push(broken(id, 'body.corrects', told('log-book.entry-corrects-nothing', entryHere)));
  standing.ids.add(id);
  return problems;
}

function gap(site: string, expected: number, seq: number): Told {
  const first = String(expected);
  if (seq < expected) return told('log-book.entry-out-of-order', { seq: String(seq), site, expected: first });
  return seq - 1 === expected
    ? told('log-book.entry-missing', { seq: first, site })
    : told('log-book.entries-missing', { first, last: String(seq - 1), site });
}

/** The sealed entry in a text, with the text and the hash that it should have; null where the text holds none. */
function readSealed(text: string, sha256: Sha256): { entry: SealedEntry; canonical: string; hash: string } | null {
  try {
    const entry = keptSealedEntry(JSON.parse(text));
    return entry && { entry, canonical: entryText(entry), hash: hashOf(asWritten(entry), sha256) };
  } catch {
    return null;
  }
}

/** The id of the entry that a correction corrects; null for every other entry. */
export const correctedBy = (entry: Entry): EntryId | null => (entry.kind === 'correction' ? entry.body.corrects : null);

/**
 * What does not fit between the ends that were found and the heads that are kept apart. Entries taken from the end of a
 * chain leave a chain that is whole in itself: only the head shows that they were there.
 */
function headProblems(ends: ReadonlyMap<string, ChainProgress>, heads: readonly Head[]): Problem[] {
  const kept = new Map<string, Head>(heads.map((head) => [head.site, head]));
  const sites = [...new Set([...ends.keys(), ...kept.keys()])].sort();
  return sites.flatMap((site) => {
    const seq = ends.get(site)?.seq ?? 0;
    const head = kept.get(site);
    const headSeq = head?.seq ?? 0;
    if (headSeq > seq) return [broken(null, 'seq', gap(site, seq + 1, headSeq + 1))];
    if (headSeq < seq) {
      const message = told('log-book.head-count', { site, seq: String(seq), head: String(headSeq) });
      return [broken(null, 'seq', message)];
    }
    const hash = seq === 0 ? null : ends.get(site)?.hash;
    if (hash === undefined || head?.hash === hash) return [];
    return [broken(null, 'hash', told('log-book.head-hash', { site }))];
  });
}
