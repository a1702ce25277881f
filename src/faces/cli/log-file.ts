import { createHash } from 'node:crypto';
import { closeSync, fsyncSync, openSync, renameSync, rmSync, writeSync } from 'node:fs';
import { strFromU8, strToU8, Zip, ZipDeflate, ZipPassThrough } from 'fflate';
import * as z from 'zod';
import { type Told, told } from '../../catalogue/index.ts';
import {
  CSV_TITLES,
  csvRow,
  headShape,
  type KeptHead,
  LARGEST_MAP,
  LARGEST_PHOTO,
  type NamedFile,
  peopleRecordProblems,
  photoType,
  readSealedEntry,
  type SealedEntry,
  type StoredEntry,
  sealShape,
} from '../../log-book/index.ts';
import { explain, type Problem, parseJson, problem } from '../../site-map/index.ts';
import {
  entryOf,
  type FileOfEntry,
  filesOfEntry,
  type LogBook,
  sha256,
  soundFile,
  type Which,
} from '../../store/index.ts';
import { BadZip, unzipPart, zipParts } from './unzip.ts';

/**
 * An export of the log book: a zip with `entries.jsonl` (a line for each entry, as it is kept), `entries.csv`, the photos and
 * maps that they name, `people.jsonl` (the record of people; empty in an export of one site), and `export.json`, which says
 * how much of each there is, so that nothing can be missing unseen.
 */

/** Node reads no larger file in one piece, and what was exported must come in again. */
const LARGEST_EXPORT = 2 ** 31 - 1;
/** Bytes of its longest text; a string of JavaScript holds as many characters. */
const LARGEST_TEXT = 2 ** 29;
/** Every file in the zip has the same date, so that the same book gives the same bytes. */
const DATE = new Date(1980, 0, 1);

/** The files of an export that are texts, and the one that says what is in it. */
const [ENTRIES, TABLE, PEOPLE, CONTENTS] = ['entries.jsonl', 'entries.csv', 'people.jsonl', 'export.json'];

const FORMAT = 'oilshed-export';
const VERSION = 1;
const count = z.number().int().min(0);
const contentsShape = z.object({
  format: z.literal(FORMAT),
  version: z.literal(VERSION),
  entries: count,
  photos: count,
  maps: count,
  people: count.describe('events of the record of people'),
  heads: z.array(headShape).describe('the last entry of each site in this export'),
  sha256: z.object({ [ENTRIES]: sealShape.hash, [TABLE]: sealShape.hash, [PEOPLE]: sealShape.hash }),
});
type Contents = z.infer<typeof contentsShape>;

export interface Exported extends Pick<Contents, 'entries' | 'photos' | 'maps' | 'people' | 'heads'> {
  /** Photos and maps that are named and not there, or not as they were: said, and left out. */
  problems: Problem[];
}

/** Thrown while writing; the verb says it in one line. */
export class TooLarge extends Error {}

/** Writes an export to a file beside its place and then renames it, so that a half-written one is never found there. */
export async function writeLogFile(file: string, store: LogBook, which: Which): Promise<Exported> {
  const part = `${file}.part`;
  try {
    const handle = openSync(part, 'w');
    let exported: Exported;
    try {
      exported = await writeParts(store, which, zipInto(handle));
      fsyncSync(handle);
    } finally {
      closeSync(handle);
    }
    renameSync(part, file);
    return exported;
  } catch (error) {
    rmSync(part, { force: true });
    throw error;
  }
}

function zipInto(handle: number): Zip {
  let written = 0;
  return new Zip((error, chunk) => {
    if (error) throw error;
    written += chunk.length;
    if (written > LARGEST_EXPORT) throw new TooLarge();
    for (let at = 0; at < chunk.length; ) at += writeSync(handle, chunk, at);
  });
}

async function writeParts(store: LogBook, which: Which, zip: Zip): Promise<Exported> {
  const named = new Map<string, FileOfEntry>();
  const ends = new Map<string, KeptHead>();
  let entries = 0;
  const writeText = async (name: string, titles: string, lineOf: (stored: StoredEntry) => string) => {
    const part = zipText(zip, name);
    part.push(titles);
    for await (const page of store.pages(which)) part.push(page.map(lineOf).join(''));
    return part.end();
  };
  const entriesHash = await writeText(ENTRIES, '', (stored) => {
    const entry = entryOf(stored);
    const { site, seq, hash } = entry;
    for (const file of filesOfEntry(entry)) named.set(`${file.kind}s/${file.name}`, file);
    ends.set(site, { site, seq, hash });
    entries++;
    return `${stored.text}\n`;
  });
  // The mark at its start makes spreadsheets read it as UTF-8. What was added since the first list began is left out of both.
  const tableHash = await writeText(TABLE, `\uFEFF${CSV_TITLES}`, (stored) =>
    stored.seq <= (ends.get(stored.site)?.seq ?? 0) ? csvRow(entryOf(stored)) : '',
  );
  // It is of the whole log book, and none of the business of who gets one site.
  const record = which.site === undefined ? await store.people.record.texts() : [];
  const people = zipText(zip, PEOPLE);
  for (const { text } of record) people.push(`${text}\n`);
  const peopleHash = people.end();
  const written = { photo: 0, map: 0 };
  const problems = [...named].flatMap(([name, file]) => {
    const { bytes, problem } = soundFile(store, file);
    if (problem) return [problem];
    zipFile(zip, name, bytes);
    written[file.kind]++;
    return [];
  });
  const counts = { entries, photos: written.photo, maps: written.map, people: record.length };
  const inside = { ...counts, heads: [...ends.values()] };
  const contents: Contents = {
    format: FORMAT,
    version: VERSION,
    ...inside,
    sha256: { [ENTRIES]: entriesHash, [TABLE]: tableHash, [PEOPLE]: peopleHash },
  };
  zipFile(zip, CONTENTS, strToU8(`${JSON.stringify(contents, null, 1)}\n`));
  zip.end();
  return { ...inside, problems };
}

/** Begins a text in a zip; `end` gives back the SHA-256 of it all. */
function zipText(zip: Zip, name: string) {
  const part = new ZipDeflate(name, { level: 6 });
  part.mtime = DATE;
  zip.add(part);
  const hash = createHash('sha256');
  let length = 0;
  return {
    push(text: string) {
      const bytes = strToU8(text);
      length += bytes.length;
      if (length > LARGEST_TEXT) throw new TooLarge();
      hash.update(bytes);
      part.push(bytes);
    },
    end() {
      part.push(new Uint8Array(), true);
      return hash.digest('hex');
    },
  };
}

function zipFile(zip: Zip, name: string, bytes: Uint8Array): void {
  const part = new ZipPassThrough(name);
  part.mtime = DATE;
  zip.add(part);
  part.push(bytes, true);
}

export interface LogFile {
  entries: SealedEntry[];
  /** The record of people, each event as its text; empty where the export has none. */
  people: string[];
  problems: Problem[];
  /** The bytes of a photo or a map in the export; null where it is not there. */
  file(named: Pick<NamedFile, 'kind' | 'name'>): Uint8Array | null;
}

/** What a device has read and hands out as a file: a line for each entry, and nothing that says how many there were. */
const isLines = (bytes: Uint8Array) => bytes[0] === '{'.charCodeAt(0) && bytes.length <= LARGEST_TEXT;

/**
 * Reads an export: every file in it held against its check sum, every photo and map against its name, every entry against
 * its own hash, and all of them against what the export says it has. Of a device's copy each entry is held against its hash. What is wrong with it is a problem.
 */
export function readLogFile(zip: Uint8Array): LogFile {
  if (isLines(zip)) return { ...entriesIn(zip), people: [], file: () => null };
  const none = (each: Problem) => ({ entries: [], people: [], problems: [each], file: () => null });
  let parts: Parts;
  try {
    parts = partsOf(zip);
  } catch (error) {
    if (!(error instanceof BadZip)) throw error;
    return none(isZip(zip) ? changed(error.told) : noExport());
  }
  const text = parts.read(ENTRIES);
  if (text === null) return none(noExport());
  const { entries, problems: wrong } = entriesIn(text);
  const people = firstLines(parts.read(PEOPLE) ?? NOTHING, MOST_EVENTS);
  const problems = [...parts.problems, ...wrong, ...peopleRecordProblems(people, sha256).slice(0, MOST_PROBLEMS)];
  return {
    entries,
    people,
    problems: problems.length > 0 ? problems : contentsProblems(parts, entries, people.length),
    file: ({ kind, name }) => parts.read(`${kind}s/${name}`),
  };
}

/** Nobody reads more problems of one export than this, and lines that are no entries may be without number. */
const MOST_PROBLEMS = 200;
/** More events of people than thirty years have with one in every hour. */
const MOST_EVENTS = 300_000;

function* linesOf(bytes: Uint8Array): Generator<string> {
  const text = strFromU8(bytes);
  for (let at = 0; at < text.length; ) {
    const next = text.indexOf('\n', at);
    const end = next < 0 ? text.length : next;
    if (end > at) yield text.slice(at, end);
    at = end + 1;
  }
}

function firstLines(bytes: Uint8Array, most: number): string[] {
  const lines: string[] = [];
  for (const line of linesOf(bytes)) if (lines.push(line) === most) break;
  return lines;
}

/** The sealed entries of a text, a line each, with what is wrong in the first that are not sound. O(text). */
function entriesIn(bytes: Uint8Array): Pick<LogFile, 'entries' | 'problems'> {
  const [entries, problems]: [SealedEntry[], Problem[]] = [[], []];
  for (const line of linesOf(bytes)) {
    const read = readSealedEntry(line, sha256);
    if (read.sealed) entries.push(read.sealed);
    problems.push(...read.problems);
    if (problems.length >= MOST_PROBLEMS) break;
  }
  return { entries, problems };
}

interface Parts {
  names: string[];
  read(name: string): Uint8Array | null;
  problems: Problem[];
}

const FILE = /^(photo|map)s\/([0-9a-f]{64})$/;

/** The files in an export, each unpacked once to see that it is as it was written. Throws BadZip where one is not. */
function partsOf(zip: Uint8Array): Parts {
  const listed = zipParts(zip).filter(({ name, bytes }) => !(name.endsWith('/') && bytes === 0));
  const parts = new Map(listed.map((part) => [part.name, part]));
  if (parts.size < listed.length) throw new BadZip(told('cli-errors.export-same-name'));
  const names = [...parts.keys()];
  const read = (name: string) => {
    const part = parts.get(name);
    return part ? unzipPart(zip, part, mostBytes(name)) : null;
  };
  return { names, read, problems: names.flatMap((name) => partProblems(name, read(name))) };
}

function mostBytes(name: string): number {
  const kind = FILE.exec(name)?.[1];
  return kind === 'photo' ? LARGEST_PHOTO : kind === 'map' ? LARGEST_MAP : LARGEST_TEXT;
}

function partProblems(name: string, bytes: Uint8Array | null): Problem[] {
  if ([ENTRIES, TABLE, PEOPLE, CONTENTS].includes(name) || bytes === null) return [];
  const [, kind, hash] = FILE.exec(name) ?? [];
  if (kind === undefined) return [changed(told('cli-errors.export-no-part', { name }))];
  if (sha256(bytes) === hash && (kind === 'map' || photoType(bytes))) return [];
  return [changed(told('cli-errors.export-other-bytes', { kind, hash }))];
}

/** What an export has otherwise than it says. One of before exports said it shows nothing that is missing from its end. */
function contentsProblems({ names, read }: Parts, entries: readonly SealedEntry[], people: number): Problem[] {
  const said = read(CONTENTS);
  if (said === null)
    return [
      entries.some((entry) => 'account' in entry)
        ? changed(told('cli-errors.export-part-gone', { name: CONTENTS }))
        : noHeads(),
    ];
  const { value, problems } = parseJson(strFromU8(said));
  const wrong = problems.length > 0 ? problems : explain(contentsShape, value, null);
  if (wrong.length > 0)
    return wrong.map(({ field, message }) => ({
      ...changed(told('cli-errors.export-in-part', { name: CONTENTS, problem: message })),
      field,
    }));
  const contents = contentsShape.parse(value);
  const countOf = (kind: string) => names.filter((name) => name.startsWith(`${kind}/`)).length;
  const counts: [what: string, found: number, said: number][] = [
    ['entries', entries.length, contents.entries],
    ['photos', countOf('photos'), contents.photos],
    ['maps', countOf('maps'), contents.maps],
    ['people', people, contents.people],
  ];
  const parts = [ENTRIES, TABLE, PEOPLE].filter((name) => sha256(read(name) ?? NOTHING) !== contents.sha256[name]);
  const hasItsHeads = JSON.stringify(headsOf(entries)) === JSON.stringify(contents.heads);
  return [
    ...counts
      .filter(([, found, said]) => found !== said)
      .map(([what, found, said]) => changed(told('cli-errors.export-count', { what, found, said }))),
    ...(hasItsHeads ? [] : [changed(told('cli-errors.export-heads-changed'))]),
    ...parts.map((name) => changed(told('cli-errors.export-part-changed', { name }))),
  ];
}

const NOTHING = new Uint8Array();

/** The last entry of each site, in the order in which sites come. */
function headsOf(entries: readonly SealedEntry[]): KeptHead[] {
  return [...new Map(entries.map(({ site, seq, hash }) => [site, { site, seq, hash }])).values()];
}

const isZip = (bytes: Uint8Array) => strFromU8(bytes.subarray(0, 2), true) === 'PK';

const whole = { id: null, field: null };

const noExport = () =>
  problem('bad-file', whole, { message: told('cli-errors.no-export'), cure: told('cli-errors.no-export-cure') });

const changed = (message: Told) =>
  problem('export-changed', whole, { message, cure: told('cli-errors.export-changed-cure') });

const noHeads = () =>
  problem('no-heads', whole, {
    message: told('cli-errors.export-no-heads'),
    cure: told('cli-errors.export-no-heads-cure'),
  });
