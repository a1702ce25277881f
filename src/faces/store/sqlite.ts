import { existsSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { Kysely, SqliteDialect, sql } from 'kysely';
import { StoreFault } from './fault.ts';
import type { Database, Tables } from './tables.ts';

/** The program stands still while SQLite waits for another's write, so that is short; longer waits are the store's. */
const BLOCKING_WAIT_MS = 20;

/** SQLite's smallest page. It takes any file shorter than that for a new one, and would write over what was a book. */
const SMALLEST_FILE = 512;

export const sqliteFile = (folder: string) => join(folder, 'log.sqlite');

/** The log book as one SQLite file: write-ahead log, each commit on the disk before it comes back. */
export async function openSqlite(folder: string): Promise<Database> {
  const { default: Sqlite } = await import('better-sqlite3');
  const file = sqliteFile(folder);
  if (existsSync(file) && statSync(file).size < SMALLEST_FILE) throw new EmptyFile();
  const sqlite = new Sqlite(file, { timeout: BLOCKING_WAIT_MS });
  try {
    for (const setting of ['journal_mode = WAL', 'synchronous = FULL', 'foreign_keys = ON']) sqlite.pragma(setting);
  } catch (error) {
    sqlite.close();
    throw error;
  }
  const db = new Kysely<Tables>({ dialect: new SqliteDialect({ database: sqlite }) });
  return {
    kind: 'sqlite',
    db,
    begin: { write: sql`begin immediate`, read: sql`begin` },
    isPassing,
    faultOf,
    async ownProblems() {
      const rows = sqlite.pragma('integrity_check') as { integrity_check: string }[];
      return rows.map((row) => row.integrity_check).filter((words) => words !== 'ok');
    },
  };
}

/** SQLite's largest number of pages. */
const EVERY_PAGE = 0x7fffffff;

/** Copies the entries and all else in the file as it stands at one moment, while others may write. */
export async function copySqlite(folder: string, file: string): Promise<void> {
  const { default: Sqlite } = await import('better-sqlite3');
  const sqlite = new Sqlite(sqliteFile(folder), { fileMustExist: true, timeout: BLOCKING_WAIT_MS });
  try {
    // In one step: between two another's write makes it begin again, on a busy book for ever.
    await sqlite.backup(file, { progress: () => EVERY_PAGE });
  } finally {
    sqlite.close();
  }
}

/** A book that another program makes at this moment, or one that was cut to nothing. */
class EmptyFile extends Error {
  readonly code = 'EMPTY_FILE';
}

const codeOf = (error: unknown) => String((error as { code?: unknown }).code ?? '');

/** Busy, or two programs bringing a new file up to date at once. */
export const isPassing = (error: unknown) =>
  /^(SQLITE_BUSY|SQLITE_LOCKED|SQLITE_CONSTRAINT_PRIMARYKEY|EMPTY_FILE)/.test(codeOf(error));

export function faultOf(error: unknown): unknown {
  const code = codeOf(error);
  const words = error instanceof Error ? error.message : '';
  if (/^SQLITE_(BUSY|LOCKED)/.test(code))
    return new StoreFault('log-busy', 'another program holds the log book', 'try again in a moment', error);
  if (code === 'EMPTY_FILE') {
    const cure = 'import the last export into a new folder; if there never was an entry in it, delete the file';
    return new StoreFault('log-damaged', 'log.sqlite is empty', cure, error);
  }
  if (/^SQLITE_(CORRUPT|NOTADB|IOERR_SHORT_READ)/.test(code)) {
    const cure = 'keep the file as it is, and import the last export into a new folder';
    return new StoreFault('log-damaged', `log.sqlite is damaged (${words})`, cure, error);
  }
  if (/^SQLITE_(READONLY|CANTOPEN|FULL|IOERR)/.test(code)) {
    const cure = 'ask for the right to write there, make room, or name another folder with --data';
    return new StoreFault('log-unwritable', `log.sqlite may not be written (${words})`, cure, error);
  }
  return error;
}
