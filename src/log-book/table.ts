import type { SealedEntry } from './seal.ts';

const COLUMNS = ['site', 'seq', 'at', 'received', 'kind', 'by', 'body', 'photos', 'id', 'hash', 'account'] as const;

/** A cell of RFC 4180. A text that a spreadsheet would take for a formula gets a quote mark before it, so that it stays text. */
function cell(value: unknown): string {
  const text = typeof value === 'string' && /^[=+\-@\t\r]/.test(value) ? `'${value}` : String(value);
  return /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}

const rowOf = ({ photos = [], body, account = '', ...entry }: SealedEntry) => ({
  ...entry,
  account: account ?? 'this machine',
  body: JSON.stringify(body),
  photos: photos.join(' '),
});

export const CSV_TITLES = `${COLUMNS.join(',')}\r\n`;

/** An entry as one row of CSV under `CSV_TITLES`, for a spreadsheet; the body stands in it as JSON. */
export function csvRow(entry: SealedEntry): string {
  const row = rowOf(entry);
  return `${COLUMNS.map((column) => cell(row[column])).join(',')}\r\n`;
}
