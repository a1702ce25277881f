import { createHash, randomUUID } from 'node:crypto';
import {
  closeSync,
  existsSync,
  fsyncSync,
  mkdirSync,
  openSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { dirname, join } from 'node:path';
import { fileFault, readFault } from './fault.ts';

export const sha256 = (bytes: Uint8Array) => createHash('sha256').update(bytes).digest('hex');

/** Puts a folder's list of names on the disk. Windows cannot, and does not need it. */
export function syncFolder(folder: string): void {
  if (process.platform === 'win32') return;
  const handle = openSync(folder, 'r');
  try {
    fsyncSync(handle);
  } finally {
    closeSync(handle);
  }
}

/** Makes a folder with all that lead to it, on the disk before it comes back. */
export function makeFolder(folder: string): void {
  try {
    const first = mkdirSync(folder, { recursive: true });
    if (first !== undefined) syncFolder(dirname(first));
  } catch (error) {
    throw fileFault(error);
  }
}

/** Writes a file beside its place and moves it there once it is on the disk: whole, or as it was before. */
export function writeDurably(file: string, bytes: Uint8Array): void {
  const part = join(dirname(file), `.${randomUUID()}.part`);
  const handle = openSync(part, 'wx');
  try {
    try {
      writeFileSync(handle, bytes);
      fsyncSync(handle);
    } finally {
      closeSync(handle);
    }
    renameSync(part, file);
  } catch (error) {
    rmSync(part, { force: true });
    throw error;
  }
}

const HOUR_MS = 3_600_000;

/**
 * Takes away what killed programs left half-written in a folder: parts that nobody has written to for an hour. `now` in
 * ms since 1970. What cannot be taken away stays, it harms nobody. O(files).
 */
export function removeOldParts(folder: string, now: number): void {
  if (!existsSync(folder)) return;
  try {
    for (const name of readdirSync(folder)) {
      const file = join(folder, name);
      if (/^\..*\.part$/.test(name) && now - statSync(file).mtimeMs > HOUR_MS) rmSync(file);
    }
  } catch {
    // Another program was quicker, or it may not be: the next opening tries again.
  }
}

/** Photos, or maps, on disk, each in a file named by the SHA-256 of its bytes. */
export interface Photos {
  readonly folder: string;
  /** Keeps a photo and comes back with its name once it is on the disk. The same bytes are kept once. */
  save(bytes: Uint8Array): string;
  /** The bytes of a photo; null where there is none of that name. Throws a StoreFault where they cannot be read. */
  read(name: string): Uint8Array | null;
  has(name: string): boolean;
  /** Whatever stands under such a name. */
  names(): string[];
}

const NAME = /^[0-9a-f]{64}$/;

export function photosIn(folder: string): Photos {
  const fileOf = (name: string) => join(folder, name);
  const read = (name: string) => {
    if (!NAME.test(name) || !existsSync(fileOf(name))) return null;
    try {
      return readFileSync(fileOf(name));
    } catch (error) {
      throw readFault(fileOf(name), error);
    }
  };
  return {
    folder,
    save(bytes) {
      const name = sha256(bytes);
      makeFolder(folder);
      try {
        const kept = read(name);
        // A file that was damaged since is mended by its photo sent again.
        if (kept === null || sha256(kept) !== name) writeDurably(fileOf(name), bytes);
        syncFolder(folder);
      } catch (error) {
        throw fileFault(error);
      }
      return name;
    },
    read,
    names: () => (existsSync(folder) ? readdirSync(folder).filter((name) => NAME.test(name)) : []),
    has: (name) => NAME.test(name) && statSync(fileOf(name), { throwIfNoEntry: false })?.isFile() === true,
  };
}
