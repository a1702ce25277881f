import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { StoreFault } from './fault.ts';
import { type LogStore, logStore } from './log-store.ts';
import { type Maps, mapsIn } from './maps.ts';
import { migrate } from './migrations.ts';
import { type People, peopleIn } from './people.ts';
import { makeFolder, photosIn, removeOldParts } from './photos.ts';
import { openPostgres } from './postgres.ts';
import { faultOf, isPassing, openSqlite, sqliteFile } from './sqlite.ts';
import { patiently } from './transaction.ts';

/** The log book with the people who may sign in to it, and the maps that it names. */
export interface LogBook extends LogStore {
  people: People;
  maps: Maps;
}

const PATIENCE_MS = 10_000;
/** An empty file is one that another program is just making, or damaged: that shows soon. */
const OPENING_PATIENCE_MS = 2000;

/**
 * Opens the log book kept in a folder: entries in `log.sqlite` there, or in the PostgreSQL that `databaseUrl` names;
 * photos in its folder `photos`. What is not there is made, unless `mustExist`. Throws a StoreFault that says why not.
 */
export async function openLogStore({
  folder,
  databaseUrl,
  mustExist = false,
  now = () => new Date().toISOString(),
  patienceMs = PATIENCE_MS,
}: {
  folder: string;
  databaseUrl?: string;
  mustExist?: boolean;
  now?: () => string;
  patienceMs?: number;
}): Promise<LogBook> {
  if (mustExist && databaseUrl === undefined && !existsSync(sqliteFile(folder))) {
    const cure = 'name its folder with --data, or add a first entry';
    throw new StoreFault('no-log-book', 'there is no log book in this folder', cure);
  }
  makeFolder(folder);
  const open = () => (databaseUrl === undefined ? openSqlite(folder) : openPostgres(databaseUrl));
  const database = await patiently({ isPassing, faultOf }, Math.min(patienceMs, OPENING_PATIENCE_MS), open);
  try {
    await patiently(database, patienceMs, () => migrate(database.db, database.kind));
  } catch (error) {
    await database.db.destroy();
    throw error;
  }
  const [photosFolder, mapsFolder] = [join(folder, 'photos'), join(folder, 'maps')];
  const time = Date.parse(now());
  for (const kept of [photosFolder, mapsFolder]) removeOldParts(kept, time);
  return {
    ...logStore(database, { photos: photosIn(photosFolder), now, patienceMs }),
    people: peopleIn(database, { now, patienceMs }),
    maps: mapsIn(mapsFolder),
  };
}
