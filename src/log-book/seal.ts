import canonicalize from 'canonicalize';
import type { Entry } from './entry.ts';

/** SHA-256 of bytes, in lower-case hex; handed in, since Node and the browser each have their own. */
export type Sha256 = (bytes: Uint8Array) => string;

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

/** The RFC 8785 text of a JSON value: the same content gives the same text, whatever the order of keys. O(size log size). */
export function canonicalText(value: object): string {
  return canonicalize(value) as string;
}

/** `hash` of a sealed entry: the SHA-256 of the canonical text of everything in it but `hash`. */
export function hashOf(sealed: object, sha256: Sha256): string {
  const { hash: _, ...rest } = sealed as { hash?: unknown };
  return sha256(new TextEncoder().encode(canonicalText(rest)));
}

/** Accepts an entry at its place in the chain. An `account` that its sender wrote gives way to that of the seal. */
export function sealEntry(entry: Entry, seal: Seal, sha256: Sha256): SealedEntry {
  const unsigned = { ...entry, ...seal };
  return { ...unsigned, hash: hashOf(unsigned, sha256) };
}

/** A sealed entry as its writer made it. */
export function unsealed({ seq: _, received: __, previous: ___, hash: ____, ...entry }: SealedEntry): Entry {
  return withoutAccount(entry);
}

/** Whose account it is does not count: the log book writes that itself. */
const withoutAccount = ({ account: _, ...entry }: Entry & { account?: unknown }): Entry => entry;

/** Whether an entry sent again says the same, key order, blanks and `account` aside. */
export function isSameContent(entry: Entry, sealed: SealedEntry): boolean {
  return canonicalText(withoutAccount(entry)) === canonicalText(unsealed(sealed));
}
