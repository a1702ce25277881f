import { stringify } from 'csv-stringify/browser/esm/sync';

/** Characters with which spreadsheets begin a formula, full-width and small forms among them: some read these as the plain ones. */
const BEGINS_FORMULA = /[=+\-@\u2212\uff0b\uff0d\uff1d\uff20\ufe62\ufe63\ufe66\ufe6b]/;
/** A spreadsheet set to another separator begins a cell after these, whatever the file says. */
const SEPARATOR = /[;\t\r\n|]/;
/** What may stand before a formula in its cell. */
const BLANK_OR_QUOTE = /[\s\p{Cc}\p{Cf}"']/u;
/** A plain number stays one. */
const NUMBER = /^-?\d+(\.\d+)?$/;

/**
 * Rows as CSV (RFC 4180), each ended by CR LF. Wherever a spreadsheet might take a text, or what follows a separator in it, for
 * a formula, a quote mark is written before that, so that it stays text. Nothing and null are empty. O(text).
 */
export const csvRows = (rows: readonly (readonly (string | number | null | undefined)[])[]): string =>
  stringify([...rows], {
    record_delimiter: '\r\n',
    quoted_match: SEPARATOR,
    cast: { string: (text) => (NUMBER.test(text) ? text : withoutFormulas(text)) },
  });

function withoutFormulas(text: string): string {
  let safe = SEPARATOR.test(text.charAt(0)) ? "'" : '';
  let isAtStart = true;
  for (const character of text) {
    if (isAtStart && BEGINS_FORMULA.test(character)) safe += "'";
    isAtStart = SEPARATOR.test(character) || (isAtStart && BLANK_OR_QUOTE.test(character));
    safe += character;
  }
  return safe;
}
