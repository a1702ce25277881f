import { closeSync, fsyncSync, openSync, readFileSync, renameSync, rmSync, writeSync } from 'node:fs';
import { strFromU8, strToU8, unzipSync, Zip, ZipDeflate, ZipPassThrough } from 'fflate';
import {
  CSV_TITLES,
  csvRow,
  LARGEST_PHOTO,
  photoType,
  readSealedEntry,
  type SealedEntry,
  type StoredEntry,
} from '../../log-book/index.ts';
import { type Problem, problem } from '../../site-map/index.ts';
import { entryOf, type LogStore, sha256, type Which } from '../store/index.ts';

/** An export of the log book: a zip with `entries.jsonl` (a line for each entry, as it is kept), `entries.csv`, and the photos. */

/** Node reads no larger file in one piece, and what was exported must come in again. */
const LARGEST_EXPORT = 2 ** 31 - 1;
const LARGEST_ENTRIES = 2 ** 29;
/** Every file in the zip has the same date, so that the same book gives the same bytes. */
const DATE = new Date(1980, 0, 1);

export interface Exported {
  entries: number;
  photos: number;
  /** Photos that are named and not there, or not as they were: said, and left out. */
  problems: Problem[];
}

/** Thrown while writing; the verb says it in one line. */
export class TooLarge extends Error {}

/** Writes an export, beside its place first so that a half-written one never stands there. */
export async function writeLogFile(file: string, store: LogStore, which: Which): Promise<Exported> {
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

async function writeParts(store: LogStore, which: Which, zip: Zip): Promise<Exported> {
  const named = new Map<string, string>();
  let entries = 0;
  const writeText = async (name: string, titles: string, lineOf: (stored: StoredEntry) => string) => {
    const part = new ZipDeflate(name, { level: 6 });
    part.mtime = DATE;
    zip.add(part);
    part.push(strToU8(titles));
    for await (const page of store.pages(which)) part.push(strToU8(page.map(lineOf).join('')));
    part.push(new Uint8Array(), true);
  };
  await writeText('entries.jsonl', '', (stored) => {
    const { id, photos = [] } = entryOf(stored);
    for (const name of photos) named.set(name, id);
    entries++;
    return `${stored.text}\n`;
  });
  // The mark at its start makes spreadsheets read it as UTF-8.
  await writeText('entries.csv', `\uFEFF${CSV_TITLES}`, (stored) => csvRow(entryOf(stored)));
  const problems = [...named].flatMap(([name, id]) => writePhoto(zip, store, name, id));
  zip.end();
  return { entries, photos: named.size - problems.length, problems };
}

function writePhoto(zip: Zip, { photos }: LogStore, name: string, id: string): Problem[] {
  const bytes = photos.read(name);
  const leftOut = (code: 'photo-missing' | 'photo-changed', words: string) => [
    problem(
      code,
      { id, field: 'photos' },
      { message: `the photo ${name} ${words}`, cure: 'restore it from an export' },
    ),
  ];
  if (bytes === null) return leftOut('photo-missing', 'is gone');
  if (sha256(bytes) !== name) return leftOut('photo-changed', 'was changed');
  const part = new ZipPassThrough(`photos/${name}`);
  part.mtime = DATE;
  zip.add(part);
  part.push(bytes, true);
  return [];
}

export interface LogFile {
  entries: SealedEntry[];
  problems: Problem[];
  /** The bytes of a photo in the export; null where it is not there or is none. */
  photo(name: string): Uint8Array | null;
}

/** Reads an export, every entry held against its own hash. Throws what the file system says; anything else is a problem. */
export function readLogFile(file: string): LogFile {
  const bytes = readFileSync(file);
  const partOf = (name: string, largest: number) =>
    unzipSync(bytes, { filter: (part) => part.name === name && part.originalSize <= largest })[name];
  const entries: SealedEntry[] = [];
  const problems: Problem[] = [];
  let text: string | undefined;
  try {
    const part = partOf('entries.jsonl', LARGEST_ENTRIES);
    text = part && strFromU8(part);
  } catch {
    // Said below: whatever is wrong with it, it is no export.
  }
  if (text === undefined) {
    const message = 'it is no export of a log book: a zip with entries.jsonl';
    problems.push(
      problem('bad-file', { id: null, field: null }, { message, cure: 'name a file that oilshed log export wrote' }),
    );
  }
  for (const line of text?.split('\n') ?? []) {
    if (line === '') continue;
    const read = readSealedEntry(line, sha256);
    if (read.sealed) entries.push(read.sealed);
    problems.push(...read.problems);
  }
  return {
    entries,
    problems,
    photo(name) {
      const photo = partOf(`photos/${name}`, LARGEST_PHOTO);
      return photo && sha256(photo) === name && photoType(photo) ? photo : null;
    },
  };
}
