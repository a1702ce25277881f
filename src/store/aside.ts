import {
  accessSync,
  closeSync,
  constants,
  copyFileSync,
  existsSync,
  mkdtempSync,
  openSync,
  readSync,
  rmSync,
  statSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { basename, join } from 'node:path';
import { told } from '../catalogue/index.ts';
import { readFault, StoreFault } from './fault.ts';
import { headsFile } from './heads.ts';
import { sqliteFile } from './sqlite.ts';

/** A folder whose database can be opened to be read, and what to do after that. */
export interface Readable<T> {
  opened: T;
  folder: string;
  remove(): void;
}

/**
 * Opens a book's database to be read. SQLite writes beside a file even to read it. Where it may not, database and
 * write-ahead log are copied into a folder of their own and opened there: opened where they lie, as never changing, the
 * entries that only the write-ahead log has would not be seen. `remove` takes the copy away. Throws a StoreFault.
 */
export async function openReadable<T>(folder: string, open: (folder: string) => Promise<T>): Promise<Readable<T>> {
  if (mayWrite(folder)) {
    try {
      return { opened: await open(folder), folder, remove() {} };
    } catch (error) {
      // The disk may be full, or the folder's rights not be all there is to it.
      if (!(error instanceof StoreFault && error.problem.code === 'log-unwritable')) throw error;
    }
  }
  const { folder: aside, remove } = temporaryFolder();
  try {
    copyDatabase(folder, aside);
    return { opened: await open(aside), folder: aside, remove };
  } catch (error) {
    remove();
    throw error;
  }
}

const walOf = (folder: string) => `${sqliteFile(folder)}-wal`;

function mayWrite(folder: string): boolean {
  const files = [sqliteFile(folder), walOf(folder), `${sqliteFile(folder)}-shm`].filter((file) => existsSync(file));
  try {
    for (const path of [folder, ...files]) accessSync(path, constants.R_OK | constants.W_OK);
    return true;
  } catch {
    return false;
  }
}

/** A folder that only this user sees, gone after `remove`, and where the program is ended before that. */
function temporaryFolder(): { folder: string; remove(): void } {
  const folder = mkdtempSync(join(tmpdir(), 'oilshed-read-'));
  const signals = ['SIGINT', 'SIGTERM', 'SIGHUP'] as const;
  const remove = () => {
    process.off('exit', remove);
    for (const signal of signals) process.off(signal, onSignal);
    rmSync(folder, { recursive: true, force: true });
  };
  const onSignal = (signal: NodeJS.Signals) => {
    remove();
    process.kill(process.pid, signal);
  };
  process.once('exit', remove);
  for (const signal of signals) process.once(signal, onSignal);
  return { folder, remove };
}

/** How often a copy is begun again that somebody's write came across. */
const TRIES = 50;

function copyDatabase(from: string, to: string): void {
  // The heads first: the book may be ahead of them, never behind.
  copyIfThere(headsFile(from), to);
  for (let time = 0; time < TRIES; time++) {
    const before = stateOf(from);
    copyIfThere(sqliteFile(from), to);
    rmSync(walOf(to), { force: true });
    copyIfThere(walOf(from), to);
    if (stateOf(from) === before) return;
  }
  throw new StoreFault('log-busy', told('store.written-all-the-time'), told('store.try-again'));
}

/**
 * What stays the same while a database and its write-ahead log can be copied one after the other. A write-ahead log that
 * goes on, and whose pages are put into the database meanwhile, does no harm: whatever was put there it has itself. One
 * that begins anew does, and then its header has other salts (sqlite.org/fileformat2.html, "WAL File Format").
 */
function stateOf(folder: string): string {
  const header = headerOf(walOf(folder));
  if (header !== null) return header;
  const { ino, size, mtimeNs } = statSync(sqliteFile(folder), { bigint: true });
  return `${ino} ${size} ${mtimeNs}`;
}

const WAL_HEADER = 32;

/** The header of a write-ahead log in hex; null where there is none, or nothing in it yet. */
function headerOf(file: string): string | null {
  if (!existsSync(file)) return null;
  try {
    const handle = openSync(file, 'r');
    try {
      const header = Buffer.alloc(WAL_HEADER);
      return readSync(handle, header) === WAL_HEADER ? header.toString('hex') : null;
    } finally {
      closeSync(handle);
    }
  } catch (error) {
    throw readFault(file, error);
  }
}

function copyIfThere(file: string, to: string): void {
  if (!existsSync(file)) return;
  try {
    copyFileSync(file, join(to, basename(file)));
  } catch (error) {
    const { code } = error as NodeJS.ErrnoException;
    if (code !== 'ENOSPC' && code !== 'EDQUOT') throw readFault(file, error);
    throw new StoreFault(
      'log-unwritable',
      told('store.no-room-for-copy', { folder: tmpdir() }),
      told('store.no-room-for-copy-remedy'),
      error,
    );
  }
}
