import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { isTold } from '../../catalogue/index.ts';
import { compileDrainage, type Drainage } from '../../drainage/index.ts';
import { hasErrors, otherFormat, type Problem, type Reading, readSiteMap, type SiteMap } from '../../site-map/index.ts';
import { type Quantity, readQuantity, type Units, unitsFor } from '../../units/index.ts';
import { fileName, problemLine, STANDARD_INPUT, safe } from './print.ts';
import { endProgress } from './progress.ts';
import { voice } from './voice.ts';
import { world } from './world.ts';

/** The input is wrong: one line for each problem, exit status 1. */
export class InputError extends Error {
  readonly lines: readonly string[];
  constructor(lines: readonly string[]) {
    super(lines.join('\n'));
    this.lines = lines;
  }
}

/** The command's words are wrong: exit status 2. */
export class UsageError extends Error {}

const REASONS: Record<string, string> = {
  ENOENT: 'there is no such file; check the name',
  EISDIR: 'it is a folder; name a file in it',
  EACCES: 'it may not be read; ask for the right to, or copy it',
  ERR_STRING_TOO_LONG: 'it is too large; split it, or import only the part you answer for',
  ERR_FS_FILE_TOO_LARGE: 'it is too large; split it, or import only the part you answer for',
};

/** The text of a file that is to be JSON, "-" being standard input; an InputError that says why not, or what it is instead. */
export function readText(file: string): string {
  const bytes = readBytes(file);
  const other = otherFormat(bytes);
  if (other) throwErrors(file, [other]);
  return reading(file, () => bytes.toString('utf8'));
}

/** The bytes of a file, "-" being standard input, or an InputError that says why not. */
export const readBytes = (file: string): Buffer =>
  reading(file, () => (file === STANDARD_INPUT ? readStandardInput() : readFileSync(file)));

function reading<T>(file: string, read: () => T): T {
  try {
    return read();
  } catch (error) {
    if (error instanceof UsageError) throw error;
    throw new InputError([`${fileName(file)}: ${fileReason(error)}`]);
  }
}

function readStandardInput(): Buffer {
  const run = world();
  if (run.isInputTaken) throw new UsageError('standard input can be read once; write - for one file alone');
  run.isInputTaken = true;
  return run.readInput();
}

/** Why a file could not be read or written, and what to do, for use after its name. */
export function fileReason(error: unknown): string {
  const { code = '', message } = error as NodeJS.ErrnoException;
  return REASONS[code] ?? safe(message);
}

/** Writes the file that `--out`, or another option, names, or an InputError that says why not. */
export function writeOut(file: string, content: string | Buffer, option = '--out'): void {
  try {
    writeFileSync(file, content);
  } catch (error) {
    const why = existsSync(file) ? 'it may not be written' : 'it could not be made';
    const { code } = error as NodeJS.ErrnoException;
    throw new InputError([safe(`${file}: ${why} (${code}); name another with ${option}`)]);
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
export const siteName = ({ site }: SiteMap, file: string): string => site.name ?? fileName(file);

/** What stands on standard output: one JSON object, its numbers as long as they are worth, or text for a person. */
export function output(isJson: boolean | undefined, object: object, text: () => string): void {
  write(
    isJson
      ? `${JSON.stringify(object, (_key, value) => (typeof value === 'number' ? worth(value) : inEnglish(value)), 2)}\n`
      : `${text()}\n`,
  );
}

/** Programs read what is told in English, whatever language the person speaks. */
const inEnglish = (value: unknown) => (isTold(value) ? voice().tell(value) : value);

/** As `output`, for what was taken in and is given back: every digit stands, since hashes are over them. */
export function outputAsKept(isJson: boolean | undefined, object: object, text: () => string): void {
  write(isJson ? `${JSON.stringify(object, (_key, value) => inEnglish(value), 2)}\n` : `${text()}\n`);
}

/** A file's text that goes to standard output in place of an answer. */
export const outputText = (text: string): void => write(text);

function write(answer: string): void {
  endProgress();
  world().write(answer);
}

/** No answer is good to more digits than these; the ones after them hang on the engine that computed it. */
const DIGITS = 12;

export const worth = (value: number) => (Number.isInteger(value) ? value : Number(value.toPrecision(DIGITS)));

interface Bounds {
  above?: number;
  atLeast?: number;
  atMost?: number;
}

/** A number given on the command line, within bounds, or a UsageError. */
export function numberWord(flag: string, text: string, bounds: Bounds): number {
  const value = text.trim() === '' ? Number.NaN : Number(text);
  if (isWithin(value, bounds)) return value;
  throw new UsageError(`${flag} is ${JSON.stringify(text)}; write a number ${boundsWords(bounds)}`);
}

/** A number with or without its unit, "50gal" or "190", within bounds that are in the unit of a plain one; or a UsageError. */
export function quantityWord(flag: string, text: string, bounds: Bounds & { quantity: Quantity }): number {
  const { quantity } = bounds;
  const value = readQuantity(text, quantity);
  if (value !== null && isWithin(value, bounds)) return value;
  const units = unitsFor(quantity).join(', ');
  throw new UsageError(
    value === null
      ? `${flag} is ${JSON.stringify(text)}; write a number in ${quantity}, or one with a unit: ${units}`
      : `${flag} is ${JSON.stringify(text)}; write ${quantity} ${boundsWords(bounds)}, or as much in another unit: ${units}`,
  );
}

const isWithin = (value: number, { above, atLeast, atMost = Number.POSITIVE_INFINITY }: Bounds) =>
  Number.isFinite(value) &&
  value > (above ?? Number.NEGATIVE_INFINITY) &&
  value >= (atLeast ?? value) &&
  value <= atMost;

const boundsWords = ({ above, atLeast, atMost }: Bounds) =>
  (above !== undefined ? `above ${above}` : `of ${atLeast} or more`) +
  (atMost === undefined ? '' : ` and at most ${atMost}`);

/** Writes an id with its name, "Fuel island (Z1)", safe on a terminal; the id alone where it has none. */
export function namesOf({ zones, structures, others }: SiteMap): (id: string) => string {
  const named = others.map(({ id, properties }) => ({ id, name: properties.name ?? id }));
  const names = new Map([...zones, ...structures, ...named].map(({ id, name }) => [id, name]));
  return (id) => {
    const name = names.get(id) ?? id;
    return safe(name === id ? id : `${name} (${id})`);
  };
}
