import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { compileDrainage, type Drainage } from '../../drainage/index.ts';
import { hasErrors, type Problem, type Reading, readSiteMap, type SiteMap } from '../../site-map/index.ts';
import type { Units } from '../../units/index.ts';
import { problemLine, safe } from './print.ts';

/** The input is wrong: one line for each problem, exit status 1. */
export class InputError extends Error {
  readonly lines: readonly string[];
  constructor(lines: readonly string[]) {
    super(lines.join('\n'));
    this.lines = lines;
  }
}

/** The command's words are wrong: exit status 2. */
export class WordsError extends Error {}

const REASONS: Record<string, string> = {
  ENOENT: 'there is no such file; check the name',
  EISDIR: 'it is a folder; name a file in it',
  EACCES: 'it may not be read; ask for the right to, or copy it',
  ERR_STRING_TOO_LONG: 'it is too large; split it, or import only the part you answer for',
  ERR_FS_FILE_TOO_LARGE: 'it is too large; split it, or import only the part you answer for',
};

/** The text of a file, or an InputError that says why not. */
export function readText(file: string): string {
  try {
    return readFileSync(file, 'utf8');
  } catch (error) {
    throw new InputError([`${safe(file)}: ${fileReason(error)}`]);
  }
}

/** Why a file could not be read or written, and what to do, for use after its name. */
export function fileReason(error: unknown): string {
  const { code = '', message } = error as NodeJS.ErrnoException;
  return REASONS[code] ?? safe(message);
}

/** Writes the file that `--out` names, or an InputError that says why not. */
export function writeOut(file: string, content: string | Buffer): void {
  try {
    writeFileSync(file, content);
  } catch (error) {
    const why = existsSync(file) ? 'it may not be written' : 'it could not be made';
    throw new InputError([safe(`${file}: ${why} (${(error as NodeJS.ErrnoException).code}); name another with --out`)]);
  }
}

export function throwErrors(file: string, problems: readonly Problem[]): void {
  if (!hasErrors(problems)) return;
  throw new InputError(problems.filter(({ severity }) => severity === 'error').map((each) => problemLine(file, each)));
}

export function readMap(file: string): Reading {
  return readSiteMap(readText(file));
}

/** A map without errors, compiled; with errors, an InputError that has them all. */
export function loadDrainage(file: string): Drainage {
  const { map, problems } = readMap(file);
  throwErrors(file, problems);
  return compileDrainage(map);
}

export const unitsOf = ({ site }: SiteMap): Units => site.units ?? 'si';
export const currencyOf = ({ site }: SiteMap): string => site.currency ?? 'USD';
export const siteName = ({ site }: SiteMap, file: string): string => site.name ?? file;

/** What stands on standard output: one JSON object, its numbers as long as they are worth, or text for a person. */
export function output(isJson: boolean | undefined, object: object, text: () => string): void {
  process.stdout.write(isJson ? `${JSON.stringify(object, worth, 2)}\n` : `${text()}\n`);
}

/** As `output`, for what was taken in and is given back: every digit stands, since hashes are over them. */
export function outputAsKept(isJson: boolean | undefined, object: object, text: () => string): void {
  process.stdout.write(isJson ? `${JSON.stringify(object, null, 2)}\n` : `${text()}\n`);
}

/** No answer is good to more digits than these; the ones after them hang on the engine that computed it. */
const DIGITS = 12;

const worth = (_key: string, value: unknown) =>
  typeof value === 'number' && !Number.isInteger(value) ? Number(value.toPrecision(DIGITS)) : value;

/** A number given on the command line, within bounds, or a WordsError. */
export function numberWord(
  flag: string,
  text: string,
  { above, atLeast, atMost }: { above?: number; atLeast?: number; atMost?: number },
): number {
  const value = text.trim() === '' ? Number.NaN : Number(text);
  const low = above !== undefined ? `above ${above}` : `of ${atLeast} or more`;
  const isLow = above !== undefined ? !(value > above) : !(value >= (atLeast ?? Number.NEGATIVE_INFINITY));
  if (!Number.isFinite(value) || isLow || value > (atMost ?? Number.POSITIVE_INFINITY)) {
    throw new WordsError(
      `${flag} is ${JSON.stringify(text)}; write a number ${low}${atMost === undefined ? '' : ` and at most ${atMost}`}`,
    );
  }
  return value;
}

/** Writes an id with its name, "Fuel island (Z1)"; the id alone where it has none. */
export function namesOf({ zones, structures, others }: SiteMap): (id: string) => string {
  const named = others.map(({ id, properties }) => ({ id, name: properties.name ?? id }));
  const names = new Map([...zones, ...structures, ...named].map(({ id, name }) => [id, name]));
  return (id) => {
    const name = names.get(id) ?? id;
    return name === id ? id : `${name} (${id})`;
  };
}
