import colours from 'picocolors';
import type { Key } from '../../catalogue/index.ts';
import type { Problem } from '../../site-map/index.ts';
import { writeError } from './progress.ts';
import { say, voice } from './voice.ts';

/** Text from a file, safe on a terminal: control characters are shown, not obeyed. */
export function safe(text: string): string {
  return text.replace(
    /[\p{Cc}\p{Cf}\u2028\u2029]/gu,
    (each) => `\\u${(each.codePointAt(0) ?? 0).toString(16).padStart(4, '0')}`,
  );
}

/** Written for a file's name where it is to be read from standard input. */
export const STANDARD_INPUT = '-';
/** Where a file is to be written to standard output. */
export const STANDARD_OUTPUT = '-';

/** A file as it is called in messages. */
export const fileName = (file: string) => (file === STANDARD_INPUT ? say('cli.standard-input') : safe(file));

/** One line about a file. */
export const fileLine = (file: string, words: string) => `${fileName(file)}: ${safe(words)}`;

/** One line for one problem: the file, the feature, the field, what is wrong, what to do. */
export const problemLine = (file: string, problem: Problem) => `${fileName(file)}: ${problemWords(problem)}`;

/** The same without the file, for lists of what is wrong in one. */
export function problemWords({ id, field, message, cure }: Problem): string {
  return [id, field, `${voice().text(message)}; ${voice().text(cure)}`]
    .filter((part) => part !== null)
    .map((part) => safe(voice().text(part)))
    .join(': ');
}

/** Says problems on standard error, one line each. */
export function sayProblems(file: string, problems: readonly Problem[]): void {
  for (const each of problems) writeError(`${problemLine(file, each)}\n`);
}

/** Columns under a title of the catalogue, set to the left or to the right. */
export const left = (key: Key): Column => ({ title: say(key) });
export const right = (key: Key): Column => ({ title: say(key), align: 'right' });

export interface Column {
  title: string;
  align?: 'left' | 'right';
}

/** Columns that a text takes on a terminal: a letter takes one with its accents, however many code points these are. */
export const widthOf = (text: string): number => [...text.normalize('NFC').replace(/\p{M}/gu, '')].length;

/** Rows under their titles, columns aligned, two blanks between them and before the first. */
export function table(columns: readonly Column[], rows: readonly (readonly string[])[]): string {
  const cells = rows.map((row) => row.map(safe));
  const widths = columns.map(({ title }, at) => Math.max(widthOf(title), ...cells.map((row) => widthOf(row[at]))));
  const padded = (cell: string, at: number) => {
    const blanks = ' '.repeat(widths[at] - widthOf(cell));
    return columns[at].align === 'right' ? blanks + cell : cell + blanks;
  };
  const line = (row: readonly string[]) => row.map(padded).join('  ').trimEnd();
  const head = colours.dim(`  ${line(columns.map(({ title }) => title))}`);
  return [head, ...cells.map((row) => `  ${line(row)}`)].join('\n');
}

export const heading = (text: string) => colours.bold(safe(text));

/** Sentences one below the other, indented and wrapped at 100 characters. */
export function bullets(sentences: readonly string[]): string {
  return sentences.map((sentence) => wrap(safe(sentence), '  - ', '    ')).join('\n');
}

function wrap(text: string, first: string, rest: string): string {
  const lines: string[] = [];
  let line = first;
  for (const word of text.split(' ')) {
    if (widthOf(line) + widthOf(word) > 99 && line.trim() !== '-') {
      lines.push(line.trimEnd());
      line = rest;
    }
    line += `${word} `;
  }
  return [...lines, line.trimEnd()].join('\n');
}
