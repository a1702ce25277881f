import { join } from 'node:path';
import { type Told, told } from '../catalogue/index.ts';
import { type Entry, filesNamed, type NamedFile, type SealedEntry } from '../log-book/index.ts';
import { type Problem, problem } from '../site-map/index.ts';
import { StoreFault } from './fault.ts';
import { type Photos, photosIn, sha256 } from './photos.ts';

/** The files that entries name: photos, and the maps of `map` entries, kept alike, once, under the SHA-256 of their bytes. */
export interface KeptFiles {
  photos: Photos;
  maps: Photos;
}

/** A file with the entry that names it, where one does; `isOld` where that was accepted before maps had to be kept. */
export interface FileOfEntry extends Omit<NamedFile, 'field'> {
  field: string | null;
  id: string | null;
  isOld: boolean;
}

/** The photos and maps of the log book in a folder. */
export const keptFilesIn = (folder: string): KeptFiles => ({
  photos: photosIn(join(folder, 'photos')),
  maps: photosIn(join(folder, 'maps')),
});

export const filesOfKind = ({ photos, maps }: KeptFiles, kind: NamedFile['kind']) => (kind === 'photo' ? photos : maps);

/**
 * A file that is not where it should be. Before maps were part of the book, an entry could name one that nobody had
 * sent; whether it was lost since cannot be told, so that it is no error.
 */
function missingFile({ kind, name, field, id, isOld }: FileOfEntry, words: { message: Told; cure: Told }): Problem {
  if (kind === 'map' && isOld) {
    const perhaps = { message: told('store.map-maybe-never', { name }), cure: told('store.map-maybe-never-remedy') };
    return problem('map-not-kept', { id, field }, perhaps);
  }
  return problem(kind === 'photo' ? 'photo-missing' : 'map-missing', { id, field }, words);
}

/** The files that an entry names; entries of before maps had to be kept have no `account`. */
export const filesOfEntry = (entry: Entry | SealedEntry): FileOfEntry[] =>
  filesNamed(entry).map((named) => ({ ...named, id: entry.id, isOld: !Object.hasOwn(entry, 'account') }));

/** What is not here of the files that an entry names; a new one is taken only with all of them. */
export const missingFiles = (entry: Entry | SealedEntry, kept: KeptFiles, age?: 'new'): Problem[] =>
  filesOfEntry(entry)
    .filter(({ kind, name }) => !filesOfKind(kept, kind).has(name))
    .map((file) => (age === 'new' ? { ...file, isOld: false } : file))
    .map((file) => missingFile(file, notInBook(file)));

const notInBook = ({ kind, name }: FileOfEntry) => ({
  message: told('store.file-not-in-book', { kind, name }),
  cure: told('store.file-not-in-book-remedy', { kind }),
});

const CHANGED = { photo: 'photo-changed', map: 'map-changed' } as const;
const RESTORE = told('store.file-remedy');

/** A file's bytes, where they are those that it was taken in with; else what is wrong with it. */
export function soundFile(
  kept: KeptFiles,
  file: FileOfEntry,
): { bytes: Uint8Array; problem?: undefined } | { bytes: null; problem: Problem } {
  const { kind, name, field, id } = file;
  try {
    const bytes = filesOfKind(kept, kind).read(name);
    if (bytes === null) {
      const message = told('store.file-gone', { kind, name });
      return { bytes, problem: missingFile(file, { message, cure: RESTORE }) };
    }
    if (sha256(bytes) === name) return { bytes };
    const words = { message: told('store.file-changed', { kind, name }), cure: RESTORE };
    return { bytes: null, problem: problem(CHANGED[kind], { id, field }, words) };
  } catch (error) {
    if (!(error instanceof StoreFault)) throw error;
    return { bytes: null, problem: { ...error.problem, id, field } };
  }
}
