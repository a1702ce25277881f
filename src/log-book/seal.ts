import canonicalize from 'canonicalize';
import type { Entry, NewEntry, Seal, SealedEntry } from './entry.ts';

/** SHA-256 of bytes, in lower-case hex; handed in, since Node and the browser each have their own. */
export type Sha256 = (bytes: Uint8Array) => string;

/**
 * The RFC 8785 text of a JSON value: the same content gives the same text, whatever the order of keys. Entries that
 * were read go through `entryText`. Throws where a value has no such text. O(size log size).
 *
 * A hash is of bytes, and one JSON value can be written in many ways; this is the one of them that all writers agree
 * on. Numbers are 64-bit floating point there: two that differ only beyond that have the same text, and so the same
 * hash.
 *
 * @example
 * import { canonicalText } from 'oilshed/log-book';
 * canonicalText({ seq: 1.0, by: 'Ada' }); // → '{"by":"Ada","seq":1}'
 */
export function canonicalText(value: object): string {
  const text = canonicalize(value);
  if (text === undefined) throw new Error('an object always has a text');
  return text;
}

/**
 * `hash` of a sealed entry: the SHA-256 (FIPS 180-4) of the UTF-8 bytes of the canonical text of everything in it but
 * `hash` (RFC 8785), as 64 hex digits. `previous` is among it, which makes a chain of the entries; so are `seq`,
 * `received` and `account`, so that none of them can be changed unseen. O(size log size).
 */
export function hashOf(sealed: object, sha256: Sha256): string {
  const rest = Object.fromEntries(Object.entries(sealed).filter(([key]) => key !== 'hash'));
  return sha256(new TextEncoder().encode(canonicalText(rest)));
}

/**
 * Accepts an entry at its place in the chain: gives it its seal and the hash of the whole. An `account` that its sender
 * wrote gives way to that of the seal, and so does anything else of a seal, or a sender could choose its own place.
 * That `seq` and `previous` fit the chain is for the store to see, which alone knows its end. O(size log size).
 */
export function sealEntry(entry: NewEntry, seal: Seal, sha256: Sha256): SealedEntry {
  const unsigned = { ...entry, ...seal };
  return { ...unsigned, hash: hashOf(unsigned, sha256) };
}

/** A sealed entry as its writer made it: without place, clock, hash and account. */
export function unsealed({ seq: _, received: __, previous: ___, hash: ____, ...entry }: SealedEntry): Entry {
  return withoutAccount(entry);
}

/** Whose account it is does not count: the log book writes that itself. */
const withoutAccount = ({ account: _, ...entry }: Entry & { account?: unknown }): Entry => entry;

/** An entry with the kind and the body that it was written with: the value that hashes stand on, and that is handed out. */
export const asWritten = <E extends Entry>(
  entry: E,
): E | (Omit<E, 'kind' | 'body'> & { kind: string; body: unknown }) =>
  entry.kind === 'unfit' ? { ...entry, kind: entry.body.kind, body: entry.body.body } : entry;

/** The RFC 8785 text of an entry as it was written. */
export const entryText = (entry: Entry): string => canonicalText(asWritten(entry));

/**
 * Whether an entry sent again says the same, key order, blanks and `account` aside. A device that never heard that its
 * entry was taken sends it again: the same content under the same id is no second entry, another one is refused.
 */
export const isSameContent = (entry: Entry, sealed: SealedEntry): boolean =>
  entryText(withoutAccount(entry)) === entryText(unsealed(sealed));
