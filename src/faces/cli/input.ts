import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { isTold, type Key } from '../../catalogue/index.ts';
import { compileDrainage, type Drainage } from '../../drainage/index.ts';
import {
  hasErrors,
  otherFormat,
  type Problem,
  type Reading,
  readSiteMap,
  type SiteMap,
  type StructureKind,
} from '../../site-map/index.ts';
import { type Quantity, readQuantity, type Units, unitsFor } from '../../units/index.ts';
import { fileLine, fileName, problemLine, STANDARD_INPUT, safe } from './print.ts';
import { endProgress } from './progress.ts';
import { inEnglish, say, speakAsOn } from './voice.ts';
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

const REASONS: Partial<Record<string, Key>> = {
  ENOENT: 'cli-errors.file-missing',
  EISDIR: 'cli-errors.file-is-folder',
  EACCES: 'cli-errors.file-not-allowed',
  ERR_STRING_TOO_LONG: 'cli-errors.file-too-large',
  ERR_FS_FILE_TOO_LARGE: 'cli-errors.file-too-large',
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
    throw new InputError([fileLine(file, fileReason(error))]);
  }
}

function readStandardInput(): Buffer {
  const run = world();
  if (run.isInputTaken) throw new UsageError(say('cli-errors.input-twice'));
  run.isInputTaken = true;
  return run.readInput();
}

/** Why a file could not be read or written, and what to do, for use after its name. */
export function fileReason(error: unknown): string {
  const { code = '', message } = error as NodeJS.ErrnoException;
  const known = REASONS[code];
  return known ? say(known) : say('cli-errors.file-fault', { code: code || safe(message) });
}

/** Writes the file that `--out`, or another option, names, or an InputError that says why not. */
export function writeOut(file: string, content: string | Buffer, option = '--out'): void {
  try {
    writeFileSync(file, content);
  } catch (error) {
    const key = existsSync(file) ? 'cli-errors.out-not-allowed' : 'cli-errors.out-not-made';
    const { code = '' } = error as NodeJS.ErrnoException;
    throw new InputError([fileLine(file, say(key, { code, flag: option }))]);
  }
}

export function throwErrors(file: string, problems: readonly Problem[]): void {
  if (!hasErrors(problems)) return;
  throw new InputError(problems.filter(({ severity }) => severity === 'error').map((each) => problemLine(file, each)));
}

/** A map as it was read; from then on the run speaks by its habits. */
export const readMap = (file: string): Promise<Reading> => readMapText(readText(file));

/** The same from its text. */
export async function readMapText(text: string): Promise<Reading> {
  const reading = readSiteMap(text);
  await speakAsOn(reading.map.site);
  return reading;
}

/** A map without errors, compiled; with errors, an InputError that has them all. */
export async function loadDrainage(file: string): Promise<Drainage> {
  const { map, problems } = await readMap(file);
  throwErrors(file, problems);
  return compileDrainage(map);
}

/** What kind of structure stands under an id of the map. */
export const kindsOf =
  ({ structures }: SiteMap) =>
  (id: string): StructureKind | undefined =>
    structures.find((each) => each.id === id)?.kind;

export const unitsOf = ({ site }: SiteMap): Units => site.units ?? 'si';
export const siteName = ({ site }: SiteMap, file: string): string => site.name ?? fileName(file);

/** What stands on standard output: one JSON object, its numbers as long as they are worth, or text for a person. */
export function output(isJson: boolean | undefined, object: object, text: () => string): void {
  write(isJson ? `${JSON.stringify(object, asPrograms, 2)}\n` : `${text()}\n`);
}

/** What programs read: no digit too many, and English whatever language the person speaks. */
const asPrograms = (_key: string, value: unknown) =>
  typeof value === 'number' ? worth(value) : isTold(value) ? inEnglish(value) : value;

/** As `output`, for what was taken in and is given back: every digit and word stands, since hashes are over them. */
export function outputAsKept(isJson: boolean | undefined, object: object, text: () => string): void {
  write(isJson ? `${JSON.stringify(object, null, 2)}\n` : `${text()}\n`);
}

/** Problems as programs read them, to stand in an object that is given back as it is kept. */
export const forPrograms = (problems: readonly Problem[]): object[] => JSON.parse(JSON.stringify(problems, asPrograms));

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
  throw new UsageError(say('cli-errors.number', { flag, word: JSON.stringify(text), bounds: boundsWords(bounds) }));
}

/** A number with or without its unit, "50gal" or "190", within bounds that are in the unit of a plain one; or a UsageError. */
export function quantityWord(flag: string, text: string, bounds: Bounds & { quantity: Quantity }): number {
  const { quantity } = bounds;
  const value = readQuantity(text, quantity);
  if (value !== null && isWithin(value, bounds)) return value;
  const said = {
    flag,
    word: JSON.stringify(text),
    quantity: say('cli-errors.quantity', { quantity: quantity === 'mm/h' ? 'rain' : quantity }),
    units: unitsFor(quantity).join(', '),
  };
  throw new UsageError(
    value === null
      ? say('cli-errors.quantity-number', said)
      : say('cli-errors.quantity-bounds', { ...said, bounds: boundsWords(bounds) }),
  );
}

/** One of the words that there are, or a UsageError that names them. */
export function oneOf<T extends string>(flag: string, word: string, values: readonly T[]): T {
  const value = values.find((each) => each === word);
  return value ?? noneOf(flag, word, values);
}

/** A UsageError for a word that is none of those that there are, which it names. */
export function noneOf(flag: string, word: string, values: readonly string[]): never {
  throw new UsageError(say('cli-errors.one-of', { flag, word: JSON.stringify(word), values: values.join(', ') }));
}

const isWithin = (value: number, { above, atLeast, atMost = Number.POSITIVE_INFINITY }: Bounds) =>
  Number.isFinite(value) &&
  value > (above ?? Number.NEGATIVE_INFINITY) &&
  value >= (atLeast ?? value) &&
  value <= atMost;

/** Bounds as they are typed, without marks between thousands. */
function boundsWords({ above, atLeast, atMost }: Bounds): string {
  const least = String(above ?? atLeast);
  const most = String(atMost);
  if (above !== undefined)
    return atMost === undefined ? say('cli-errors.above', { least }) : say('cli-errors.above-to', { least, most });
  return atMost === undefined ? say('cli-errors.from', { least }) : say('cli-errors.from-to', { least, most });
}

/** Writes an id with its name, "Fuel island (Z1)", safe on a terminal; the id alone where it has none. */
export function namesOf({ zones, structures, others }: SiteMap): (id: string) => string {
  const named = others.map(({ id, properties }) => ({ id, name: properties.name ?? id }));
  const names = new Map([...zones, ...structures, ...named].map(({ id, name }) => [id, name]));
  return (id) => {
    const name = names.get(id) ?? id;
    return safe(name === id ? id : `${name} (${id})`);
  };
}
