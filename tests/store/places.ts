import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { DatabaseSync } from '@photostructure/sqlite';
import pg from 'pg';
import { startPostgres } from '../../.scripts/postgres.ts';

/** Where a log book is: its folder, and its PostgreSQL where it is in one. */
export interface Place {
  folder: string;
  databaseUrl?: string;
}

/** New places for log books in either kind of database; `kinds` says which of them can be had here. */
export async function startPlaces(name: string) {
  const postgres = await startPostgres().catch((error: Error) => {
    console.warn(error.message);
    return null;
  });
  let databases = 0;
  const newDatabase = async () => {
    const database = `${name}${++databases}`;
    await inPostgres(String(postgres?.url), `create database ${database}`);
    return String(postgres?.url).replace(/postgres$/, database);
  };
  return {
    kinds: [
      { kind: 'SQLite', skip: false },
      { kind: 'PostgreSQL', skip: postgres === null },
    ] as const,
    async make(kind: 'SQLite' | 'PostgreSQL'): Promise<Place> {
      const folder = mkdtempSync(join(tmpdir(), `oilshed-${name}-`));
      return { folder, databaseUrl: kind === 'PostgreSQL' ? await newDatabase() : undefined };
    },
    remove: ({ folder }: Place) => rmSync(folder, { recursive: true, force: true }),
    stop: () => postgres?.stop(),
  };
}

/** Asks the database itself, past the store. */
export async function askDatabase({ folder, databaseUrl }: Place, sql: string): Promise<Record<string, unknown>[]> {
  if (databaseUrl) return inPostgres(databaseUrl, sql);
  const db = new DatabaseSync(join(folder, 'log.sqlite'));
  try {
    return db.prepare(sql).all() as Record<string, unknown>[];
  } finally {
    db.close();
  }
}

async function inPostgres(url: string, sql: string): Promise<Record<string, unknown>[]> {
  const client = new pg.Client(url);
  await client.connect();
  const { rows } = await client.query(sql).finally(() => client.end());
  return rows;
}
