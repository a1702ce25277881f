import { correctedBy } from './chain.ts';
import type { SealedEntry } from './seal.ts';

/** The entries that still stand, in their order: none that a later one corrects, and no corrections. O(entries). */
export function standingEntries(entries: readonly SealedEntry[]): SealedEntry[] {
  const corrected = new Set(entries.map(correctedBy));
  return entries.filter(({ id, kind }) => kind !== 'correction' && !corrected.has(id));
}

/**
 * The findings of a log book as a findings file (contract §2), for `readFindings`. A finding without an id of its own has
 * that of its entry. O(entries).
 */
export function findingsFileOf(entries: readonly SealedEntry[]): {
  format: string;
  version: number;
  findings: object[];
} {
  const findings = standingEntries(entries)
    .filter(({ kind }) => kind === 'finding')
    .map(({ id, body }) => ({ id, ...body }));
  return { format: 'oilshed-findings', version: 1, findings };
}

export interface DueWork {
  /** The entry that says so. */
  id: string;
  site: string;
  /** As written: a date, or a date and time. */
  due: string;
  note: string;
  /** When that was taken into the log book. */
  received: string;
}

/** Corrective work that is not closed, in the order of the log book. O(entries). */
export function dueWork(entries: readonly SealedEntry[]): DueWork[] {
  return standingEntries(entries)
    .filter(({ kind, body }) => kind === 'corrective' && body.closed === undefined)
    .map(({ id, site, received, body }) => ({ id, site, received, due: String(body.due), note: String(body.note) }));
}
