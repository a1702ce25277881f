import { statSync } from 'node:fs';
import { join } from 'node:path';
import type { DatabaseSyncInstance } from '@photostructure/sqlite';
import { Kysely, type SqliteDatabase, SqliteDialect, type SqliteStatement, sql } from 'kysely';
import { told } from '../catalogue/index.ts';
import { notAFile, notInstalled, StoreFault } from './fault.ts';
import { faultOfFile } from './sqlite-file.ts';
import type { Database, Tables } from './tables.ts';

/** The program stands still while SQLite waits for another's write, so that is short; longer waits are the store's. */
const BLOCKING_WAIT_MS = 20;

/** SQLite's smallest page. It takes any file shorter than that for a new one, and would write over what was a book. */
const SMALLEST_FILE = 512;

export const sqliteFile = (folder: string) => join(folder, 'log.sqlite');

/** Statements that are kept ready; the store asks in fewer forms than this. */
const MOST_STATEMENTS = 200;

/** What kysely's SQLite dialect asks of a database, over a `DatabaseSync`. A statement is prepared once and used again. */
function forKysely(sqlite: DatabaseSyncInstance): SqliteDatabase {
  const ready = new Map<string, SqliteStatement>();
  return {
    close: () => sqlite.close(),
    prepare(text) {
      const before = ready.get(text);
      if (before) return before;
      const prepared = sqlite.prepare(text);
      const statement: SqliteStatement = {
        reader: prepared.columns().length > 0,
        all: (parameters) => prepared.all(...parameters),
        run: (parameters) => prepared.run(...parameters),
        iterate: (parameters) => prepared.iterate(...parameters),
      };
      if (ready.size === MOST_STATEMENTS) ready.clear();
      ready.set(text, statement);
      return statement;
    },
  };
}

const library = () =>
  import('@photostructure/sqlite').catch((error) => {
    throw notInstalled('@photostructure/sqlite', error);
  });

/** The log book as one SQLite file: write-ahead log, each commit on the disk before it comes back. */
export async function openSqlite(folder: string): Promise<Database> {
  const { DatabaseSync } = await library();
  const file = sqliteFile(folder);
  const stat = statSync(file, { throwIfNoEntry: false });
  if (stat?.isDirectory()) throw notAFile(file);
  if (stat && stat.size < SMALLEST_FILE) throw new EmptyFile();
  const sqlite = new DatabaseSync(file, { timeout: BLOCKING_WAIT_MS });
  try {
    for (const setting of ['journal_mode = WAL', 'synchronous = FULL', 'foreign_keys = ON'])
      sqlite.exec(`pragma ${setting}`);
  } catch (error) {
    sqlite.close();
    throw error;
  }
  const opened = statSync(file);
  const db = new Kysely<Tables>({ dialect: new SqliteDialect({ database: forKysely(sqlite) }) });
  return {
    kind: 'sqlite',
    db,
    begin: { write: sql`begin immediate`, read: sql`begin` },
    isPassing,
    faultOf,
    fileFault: () => faultOfFile(file, opened),
    async ownProblems() {
      const rows = sqlite.prepare('pragma integrity_check').all() as { integrity_check: string }[];
      return rows.map((row) => row.integrity_check).filter((words) => words !== 'ok');
    },
  };
}

/** SQLite's largest number of pages. */
const EVERY_PAGE = 0x7fffffff;

/** Copies the entries and all else in the file as it stands at one moment, while others may write. */
export async function copySqlite(folder: string, file: string): Promise<void> {
  const { backup, DatabaseSync } = await library();
  const sqlite = new DatabaseSync(sqliteFile(folder), { timeout: BLOCKING_WAIT_MS });
  try {
    // In one step: between two another's write makes it begin again, on a busy book for ever.
    await backup(sqlite, file, { rate: EVERY_PAGE });
  } finally {
    sqlite.close();
  }
}

/** A book that another program makes at this moment, or one that was cut to nothing. */
class EmptyFile extends Error {}

/** SQLite's result codes (sqlite.org/rescode.html); the extended ones carry theirs in the low byte. */
const ERROR = 1;
const BUSY = 5;
const LOCKED = 6;
const READONLY = 8;
const IOERR = 10;
const CORRUPT = 11;
const FULL = 13;
const CANTOPEN = 14;
const NOTADB = 26;
const IOERR_SHORT_READ = 522;
const CONSTRAINT_PRIMARYKEY = 1555;

/** SQLite's own code of an error; 0 for any other error. */
const codeOf = (error: unknown) => Number((error as { errcode?: unknown } | null)?.errcode ?? 0);
const isOneOf = (code: number, ...codes: number[]) => codes.includes(code) || codes.includes(code & 0xff);

/** What SQLite says of a file whose header it does not understand, or that has not what ours have; it has one code for these and more. */
const NOT_OURS = /^no such (table|column)|has no column|unsupported file format|malformed|text encoding/;

/** Busy, or two programs bringing a new file up to date at once. */
export const isPassing = (error: unknown) =>
  error instanceof EmptyFile || isOneOf(codeOf(error), BUSY, LOCKED, CONSTRAINT_PRIMARYKEY);

export function faultOf(error: unknown): unknown {
  const code = codeOf(error);
  const words = error instanceof Error ? error.message : '';
  if (isOneOf(code, BUSY, LOCKED))
    return new StoreFault('log-busy', told('store.book-held'), told('store.try-again'), error);
  if (error instanceof EmptyFile)
    return new StoreFault('log-damaged', told('store.sqlite-empty'), told('store.sqlite-empty-remedy'), error);
  if (isOneOf(code, CORRUPT, NOTADB, IOERR_SHORT_READ) || (code === ERROR && NOT_OURS.test(words))) {
    const message = told('store.sqlite-damaged', { words });
    return new StoreFault('log-damaged', message, told('store.sqlite-damaged-remedy'), error);
  }
  if (isOneOf(code, READONLY, CANTOPEN, FULL, IOERR)) {
    const message = told('store.sqlite-unwritable', { words });
    return new StoreFault('log-unwritable', message, told('store.sqlite-unwritable-remedy'), error);
  }
  return error;
}
