import { csvRows } from '../algorithms/index.ts';
import type { SealedEntry } from './entry.ts';
import { asWritten } from './seal.ts';

const COLUMNS = ['site', 'seq', 'at', 'received', 'kind', 'by', 'body', 'photos', 'id', 'hash', 'account'] as const;

function rowOf(sealed: SealedEntry) {
  const { photos = [], body, account = '', ...entry } = asWritten(sealed);
  return { ...entry, account: account ?? 'this machine', body: JSON.stringify(body), photos: photos.join(' ') };
}

/** The titles of the columns, as the first row. */
export const CSV_TITLES = csvRows([COLUMNS]);

/**
 * An entry as one row of CSV under `CSV_TITLES`, for a spreadsheet; the body stands in it as JSON. It is for reading: a
 * hash cannot be worked out anew from it, since keys that are not listed are left out.
 */
export function csvRow(entry: SealedEntry): string {
  const row = rowOf(entry);
  return csvRows([COLUMNS.map((column) => row[column])]);
}
