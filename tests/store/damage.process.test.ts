import { cpSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { DatabaseSync } from '@photostructure/sqlite';
import pg from 'pg';
import { afterAll, describe, expect, test } from 'vitest';
import { startPostgres } from '../../.scripts/postgres.ts';
import { backUp, type LogBook, openLogStore, StoreFault } from '../../src/store/index.ts';
import { madeEntry, madePhoto } from '../log-book/made.ts';
import { englishProblems } from '../support/english.ts';

const folder = mkdtempSync(join(tmpdir(), 'oilshed-damage-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));
const postgres = await startPostgres().catch((error: Error) => {
  console.warn(error.message);
  return null;
});
afterAll(() => postgres?.stop());

const COUNT = 6;
let books = 0;
let original: string | undefined;
/** A book of its own with six entries, a photo and a map. */
async function book(): Promise<string> {
  const path = join(folder, `book-${++books}`);
  if (original === undefined) {
    original = path;
    const store = await openLogStore({ folder: path });
    await store.add(madeEntry(1, { photos: [store.photos.save(madePhoto(1))] }));
    const map = store.maps.save(readFileSync('site-maps/freight-depot.geojson'));
    await store.add(madeEntry(2, { kind: 'map', body: { sha256: map } }));
    for (let n = 3; n <= COUNT; n++) await store.add(madeEntry(n));
    await store.close();
    return book();
  }
  cpSync(original, path, { recursive: true });
  return path;
}

type Purpose = 'read' | 'write';
/** What the work in a book comes to: its result, or the code of the problem that stopped it. Anything else is our own fault. */
async function outcome<T>(
  place: { folder: string; databaseUrl?: string; purpose: Purpose },
  work: (store: LogBook) => Promise<T>,
) {
  try {
    const store = await openLogStore({ ...place, patienceMs: 50 });
    return await work(store).finally(() => store.close());
  } catch (error) {
    if (error instanceof StoreFault) return error.problem.code;
    throw new Error(`a fault of our own: ${error}`, { cause: error });
  }
}
/** The problem that stops some work. */
function faultIn(work: () => unknown) {
  try {
    work();
  } catch (error) {
    if (error instanceof StoreFault) return error.problem;
    throw error;
  }
  throw new Error('nothing stopped it');
}
const idsIn = async (store: LogBook) => {
  const ids: string[] = [];
  for await (const page of store.pages()) ids.push(...page.map(({ id }) => id));
  return ids.length;
};
const verdict = async (store: LogBook) => {
  const { ok, problems } = await store.verify();
  return ok ? 'ok' : problems[0].code;
};

describe('a SQLite file', () => {
  test('whose header was changed in any byte is read as it was or told to be damaged', {
    timeout: 120_000,
  }, async () => {
    const told = new Set<unknown>();
    for (let at = 0; at < 100; at++)
      for (const change of [0x01, 0x80, 0xff]) {
        const path = await book();
        const bytes = readFileSync(join(path, 'log.sqlite'));
        bytes[at] ^= change;
        writeFileSync(join(path, 'log.sqlite'), bytes);
        const found = await outcome({ folder: path, purpose: 'read' }, async (store) => [
          await verdict(store),
          await idsIn(store),
        ]);
        if (Array.isArray(found) && found[0] === 'ok') expect(found, `byte ${at}`).toEqual(['ok', COUNT]);
        else expect([found].flat()[0], `byte ${at} by ${change}`).toBe('log-damaged');
        told.add([found].flat()[0]);
        const opened = await outcome({ folder: path, purpose: 'write' }, verdict);
        expect(opened, `byte ${at} by ${change}, opened to write`).toMatch(/^(ok|log-damaged)$/);
        rmSync(path, { recursive: true });
      }
    expect([...told].sort()).toEqual(['log-damaged', 'ok']);
  });

  test.each(['entries', 'heads', 'people', 'sessions', 'people_events'])(
    'without its table %s is told to be damaged',
    async (table) => {
      const path = await book();
      const db = new DatabaseSync(join(path, 'log.sqlite'));
      db.exec(`pragma foreign_keys = off; drop table ${table}`);
      db.close();
      for (const purpose of ['read', 'write'] as const) {
        const found = await outcome({ folder: path, purpose }, async (store) => {
          await store.people.list();
          await store.people.session('none');
          return verdict(store);
        });
        expect(found, purpose).toBe('log-damaged');
      }
    },
  );

  test('with a folder in its place is told so', async () => {
    const path = await book();
    rmSync(join(path, 'log.sqlite'));
    mkdirSync(join(path, 'log.sqlite'));
    expect(await outcome({ folder: path, purpose: 'read' }, verdict)).toBe('log-damaged');
    expect(await outcome({ folder: path, purpose: 'write' }, verdict)).toBe('log-damaged');
  });
});

describe.each(['photos', 'maps'] as const)('a folder in the place of one of its %s', (kind) => {
  test('is named by verify, left out of copies with a word, and named where the file is asked for', async () => {
    const path = await book();
    const store = await openLogStore({ folder: path });
    const [name] = store[kind].names();
    rmSync(join(path, kind, name));
    mkdirSync(join(path, kind, name));
    const problem = {
      code: 'log-damaged',
      message: expect.stringContaining(`${name} is a folder, not a file`),
      cure: expect.stringContaining('restore the file'),
    };
    const { ok, entries, problems } = await store.verify();
    expect([ok, entries]).toEqual([false, COUNT]);
    expect(englishProblems(problems)).toMatchObject([problem]);
    expect(store[kind].has(name)).toBe(false);
    for (const work of [
      () => store[kind].read(name),
      () => store[kind].save(kind === 'photos' ? madePhoto(1) : readFileSync('site-maps/freight-depot.geojson')),
    ])
      expect(englishProblems([faultIn(work)])).toMatchObject([problem]);
    await store.close();
    expect(await backUp({ folder: path, to: `${path}-copy` })).toMatchObject([{ code: 'log-damaged' }]);
  });
});

test.skipIf(postgres === null)('a PostgreSQL without one of its tables is told to be damaged', async () => {
  const client = new pg.Client(postgres?.url);
  await client.connect();
  await client.query('create database damaged');
  await client.end();
  const databaseUrl = String(postgres?.url).replace(/postgres$/, 'damaged');
  const place = { folder: join(folder, 'pg'), databaseUrl, purpose: 'write' as const };
  expect(await outcome(place, verdict)).toBe('ok');
  const other = new pg.Client(databaseUrl);
  await other.connect();
  await other.query('drop table entries');
  await other.end();
  expect(await outcome(place, verdict)).toBe('log-damaged');
});
