import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { told } from '../catalogue/index.ts';
import type { Problem } from '../site-map/index.ts';
import { openReadable, type Readable } from './aside.ts';
import { StoreFault } from './fault.ts';
import { type HeadsBeside, headsBeside } from './heads.ts';
import { keptFilesIn } from './kept-files.ts';
import { type LogStore, logStore } from './log-store.ts';
import { migrate } from './migrations.ts';
import { type People, peopleIn } from './people.ts';
import { makeFolder, removeOldParts } from './photos.ts';
import { openPostgres } from './postgres.ts';
import { faultOf, isPassing, openSqlite, sqliteFile } from './sqlite.ts';
import type { Database } from './tables.ts';
import { retryWhileBusy } from './transaction.ts';

/** The log book with the people who may sign in to it. */
export interface LogBook extends LogStore {
  people: People;
  /** Where its SQLite file was opened: its own folder, or a copy of one that may only be read. */
  databaseFolder: string;
  /** Takes the book as it stands for what is wanted, and gives back what was wrong by the heads beside it. */
  acceptHeads(): Promise<Problem[]>;
}

const PATIENCE_MS = 10_000;
/** An empty file is one that another program is just making, or damaged: that shows soon. */
const OPENING_PATIENCE_MS = 2000;

interface Opening {
  folder: string;
  databaseUrl?: string;
  /**
   * `write` (left out) refuses a book that lacks entries which its heads say it had; `accept` does not. `read` changes
   * nothing, and also opens what may not be written.
   */
  purpose?: 'write' | 'read' | 'accept';
  mustExist?: boolean;
  now?: () => string;
  patienceMs?: number;
}

/**
 * Opens the log book kept in a folder: entries in `log.sqlite` there, or in the PostgreSQL that `databaseUrl` names;
 * photos and maps in its folders `photos` and `maps`. What is not there is made, unless `mustExist` or only to be read.
 * Throws a StoreFault that says why not.
 */
export async function openLogStore(opening: Opening): Promise<LogBook> {
  const { folder, databaseUrl, purpose = 'write', now = () => new Date().toISOString() } = opening;
  const { patienceMs = PATIENCE_MS } = opening;
  const isReading = purpose === 'read';
  if ((opening.mustExist || isReading) && databaseUrl === undefined && !existsSync(sqliteFile(folder))) {
    throw new StoreFault('no-log-book', told('store.no-book'), told('store.no-book-remedy'));
  }
  const { opened: database, folder: databaseFolder, remove } = await openDatabase(opening, patienceMs);
  const heads = databaseUrl === undefined ? headsBeside(database, databaseFolder) : null;
  const store = logStore(database, { files: keptFilesIn(folder), heads, now, patienceMs });
  const close = async () => {
    await (isReading ? database.db.destroy() : store.close());
    remove();
  };
  try {
    if (purpose === 'write') {
      await refuseBehind(store);
      await begin(folder, heads, Date.parse(now()));
    }
  } catch (error) {
    await database.db.destroy();
    throw error;
  }
  const changed = async () => heads?.changed();
  const people = peopleIn(database, { now, patienceMs, changed });
  return { ...store, close, people, databaseFolder, acceptHeads: async () => (await heads?.accept(now())) ?? [] };
}

/** Opens the database and brings it up to date; a copy of it where it may only be read. */
async function openDatabase(
  { folder, databaseUrl, purpose }: Opening,
  patienceMs: number,
): Promise<Readable<Database>> {
  const open = async (at: string) => {
    const openOnce = () => (databaseUrl === undefined ? openSqlite(at) : openPostgres(databaseUrl));
    const database = await retryWhileBusy({ isPassing, faultOf }, Math.min(patienceMs, OPENING_PATIENCE_MS), openOnce);
    try {
      await retryWhileBusy(database, patienceMs, () => migrate(database.db, database.kind));
      return database;
    } catch (error) {
      await database.db.destroy();
      throw error;
    }
  };
  if (purpose === 'read' && databaseUrl === undefined) return openReadable(folder, open);
  makeFolder(folder);
  return { opened: await open(folder), folder, remove() {} };
}

/** Nothing is added to a book that lost its end: the entries that were there could not be put back any more. */
async function refuseBehind(store: LogStore): Promise<void> {
  const [first, ...more] = (await store.headProblems()).filter(({ severity }) => severity === 'error');
  if (!first) return;
  const { code, message, cure } = first;
  const said = more.length > 0 ? told('store.and-more', { message, more: more.length }) : message;
  throw new StoreFault(code, said, cure);
}

/** Sees that heads stand beside the book from its first entry on, and takes away what killed programs left. */
async function begin(folder: string, heads: HeadsBeside | null, time: number): Promise<void> {
  await heads?.begin();
  for (const kept of [folder, join(folder, 'photos'), join(folder, 'maps')]) removeOldParts(kept, time);
}
