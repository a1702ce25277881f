import { createHash } from 'node:crypto';
import type { EntryId, NewEntry, SealedEntry, SiteId } from '../../src/log-book/index.ts';
import { sealEntry } from '../../src/log-book/index.ts';

export const sha256 = (bytes: Uint8Array) => createHash('sha256').update(bytes).digest('hex');

/** The UUID of the n-th made entry. */
export const idOf = (n: number) => `0197218a-3c5e-7d61-9b0a-${n.toString(16).padStart(12, '0')}` as EntryId;

/** A text as the name of a site. */
export const siteOf = (name: string) => name as SiteId;

/** What of an entry is to be otherwise; tests write what no entry may have, too. */
export interface Changes {
  id?: string;
  site?: string;
  kind?: string;
  at?: string;
  by?: string;
  body?: object;
  photos?: string[];
}

/** A sound entry; what is handed in stands instead. */
export function madeEntry(n: number, changes: Changes = {}): NewEntry {
  const made: object = {
    id: idOf(n),
    site: 'tarn-lane',
    kind: 'visit',
    at: '2026-05-30T14:05:00-06:00',
    by: 'J. Ortega',
    body: { weather: 'dry', note: `visit ${n}` },
    photos: [],
    ...changes,
  };
  return made as NewEntry;
}

/** A sealed chain of these entries of one site. */
export function chainOf(entries: readonly NewEntry[]): SealedEntry[] {
  const chain: SealedEntry[] = [];
  for (const entry of entries) {
    const [seq, previous] = [chain.length + 1, chain.at(-1)?.hash ?? null];
    chain.push(sealEntry(entry, { seq, received: '2026-05-30T20:05:01.000Z', previous, account: null }, sha256));
  }
  return chain;
}

/** Bytes built as a JPEG is: start, one scan (its data are text), end. Not the same for another number. */
export const madePhoto = (n: number, length = 2000) =>
  Buffer.concat([
    Buffer.from([0xff, 0xd8, 0xff, 0xda, 0, 2]),
    Buffer.alloc(length, `photo ${n};`),
    Buffer.from([0xff, 0xd9]),
  ]);
