import { once } from 'node:events';
import { closeSync, mkdtempSync, openSync, renameSync, rmSync, truncateSync, writeSync } from 'node:fs';
import { type AddressInfo, connect, createServer, type Socket } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { DatabaseSync } from '@photostructure/sqlite';
import type { FastifyInstance } from 'fastify';
import { afterAll, afterEach, beforeEach, describe, expect, test } from 'vitest';
import { startPostgres } from '../../../.scripts/postgres.ts';
import { told } from '../../../src/catalogue/index.ts';
import { buildApp } from '../../../src/faces/server/app.ts';
import { type LogBook, openLogStore, StoreFault } from '../../../src/store/index.ts';
import { madeEntry, madePhoto } from '../../log-book/made.ts';
import { addPeople, cookieOf } from './made-people.ts';

const folder = mkdtempSync(join(tmpdir(), 'oilshed-health-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));
const root = process.cwd();

let book: LogBook;
let app: FastifyInstance;
let file: string;
const open = async (databaseUrl?: string) => {
  const data = mkdtempSync(join(folder, 'book-'));
  file = join(data, 'log.sqlite');
  book = await openLogStore({ folder: data, databaseUrl });
  app = await buildApp(root, book);
};
const close = async () => {
  await app.close();
  await book.close();
};
const health = (headers = {}) => app.inject({ url: '/api/health', headers });
async function expectDown(code: string, message: RegExp, headers = {}) {
  const reply = await health(headers);
  expect([reply.statusCode, reply.headers['content-type']]).toEqual([503, 'application/problem+json']);
  expect(reply.json()).toMatchObject({ status: 503, code, detail: expect.stringMatching(message) });
  expect(reply.headers['cache-control']).toBe('no-store');
}

describe('a log book in SQLite', () => {
  beforeEach(async () => {
    await open();
    for (let n = 1; n <= 200; n++) await book.add(madeEntry(n));
    const db = new DatabaseSync(file);
    db.exec('pragma wal_checkpoint(truncate)');
    db.close();
    expect((await health()).json()).toEqual({ ok: true });
  });
  afterEach(close);
  const overwrite = (at: number, bytes: Buffer) => {
    const handle = openSync(file, 'r+');
    writeSync(handle, bytes, 0, bytes.length, at);
    closeSync(handle);
  };

  test('whose file was taken away is down, though what has it open reads on', async () => {
    renameSync(file, `${file}.away`);
    expect((await app.inject('/api/entries?limit=1')).statusCode).toBe(200);
    await expectDown('log-damaged', /log\.sqlite is gone/);
    renameSync(`${file}.away`, file);
    expect((await health()).statusCode).toBe(200);
  });

  test('whose file another was put in the place of is down', async () => {
    renameSync(file, `${file}.away`);
    const other = new DatabaseSync(file);
    other.exec('create table heads (site text)');
    other.close();
    await expectDown('log-damaged', /another file/);
  });

  test.each([
    ['its first bytes', () => overwrite(0, Buffer.from('hello, nobody at home')), /does not begin as a database/],
    ['its end', () => truncateSync(file, 8192), /its end is missing/],
    ['all of it', () => truncateSync(file, 0), /does not begin as a database/],
  ])('that lost %s is down', async (_, damage, message) => {
    damage();
    await expectDown('log-damaged', message);
    // Through a proxy, too, before it can be known whether people sign in.
    await expectDown('log-damaged', message, { 'x-forwarded-for': '203.0.113.5' });
  });

  test('without its tables is down', async () => {
    const db = new DatabaseSync(file);
    db.exec('pragma foreign_keys = off; drop table heads');
    db.close();
    await expectDown('log-damaged', /./);
  });

  test('that is written to, and whose log is long, is up', async () => {
    await Promise.all(Array.from({ length: 300 }, (_, n) => book.add(madeEntry(n + 1000))));
    expect((await health()).statusCode).toBe(200);
  });
});

describe('a database that does not answer', () => {
  beforeEach(() => open());
  afterEach(close);

  test('is down whatever its fault is, and pages are shown all the same', async () => {
    const ping = () =>
      Promise.reject(new StoreFault('log-damaged', told('store.tables-unreadable'), told('store.damaged-remedy')));
    const sick = await buildApp(root, { ...book, ping });
    expect((await sick.inject('/api/health')).statusCode).toBe(503);
    expect((await sick.inject({ url: '/', headers: { via: '1.1 gate' } })).statusCode).toBe(200);
    await sick.close();
  });

  test('health is for everybody, but not for pages of other sites nor, while nobody signs in, through a relay', async () => {
    for (const headers of [{ origin: 'https://evil.example' }, { 'sec-fetch-site': 'cross-site' }, { via: '1.1 gate' }])
      expect((await health(headers)).statusCode).toBe(403);
    await addPeople(book);
    for (const headers of [{}, { via: '1.1 gate' }, { host: 'yard.example' }])
      expect((await health(headers)).statusCode).toBe(200);
  });
});

test('answers of the API are kept by nobody, but for bytes that their address has the hash of', async () => {
  await open();
  const photo = book.photos.save(madePhoto(1));
  for (const url of [
    '/api/health',
    '/api/session',
    '/api/entries',
    '/api/openapi.json',
    '/api/nothing',
    '/api/calendar.ics?site=x',
  ])
    expect([url, (await app.inject(url)).headers['cache-control']]).toEqual([url, 'no-store']);
  expect((await app.inject(`/api/photos/${photo}`)).headers['cache-control']).toBe(
    'private, max-age=31536000, immutable',
  );
  await addPeople(book);
  const cookie = await cookieOf(app, 'crew');
  for (const headers of [{}, cookie])
    expect((await app.inject({ url: '/api/entries', headers })).headers['cache-control']).toBe('no-store');
  await close();
  const bare = await buildApp(root);
  const reply = await bare.inject('/api/health');
  expect([reply.json(), reply.headers['cache-control']]).toEqual([{ ok: true, hasLogBook: false }, 'no-store']);
  await bare.close();
});

const postgres = await startPostgres().catch((error: Error) => {
  console.warn(error.message);
  return undefined;
});
describe.skipIf(!postgres)('a log book in PostgreSQL', () => {
  test('whose server hangs is down within seconds, and up once it goes on', async () => {
    const { hostname, port } = new URL(postgres?.url ?? '');
    const sockets: Socket[] = [];
    const relay = createServer((socket) => {
      const other = connect(Number(port), hostname);
      socket.pipe(other).pipe(socket);
      for (const each of [socket, other]) each.on('error', () => {});
      sockets.push(socket, other);
    }).listen(0, '127.0.0.1');
    await once(relay, 'listening');
    await open(postgres?.url.replace(`:${port}/`, `:${(relay.address() as AddressInfo).port}/`));
    expect((await health()).statusCode).toBe(200);
    for (const socket of sockets) socket.pause();
    const asked = performance.now();
    await Promise.all([1, 2, 3].map(() => expectDown('log-busy', /does not answer/)));
    expect(performance.now() - asked).toBeLessThan(8000);
    for (const socket of sockets) socket.resume();
    await expect.poll(async () => (await health()).statusCode, { timeout: 10_000 }).toBe(200);
    await close();
    for (const socket of sockets) socket.destroy();
    relay.close();
  });

  test('is up while its server is, and down within seconds once that has ended', async () => {
    await open(postgres?.url);
    expect((await health()).json()).toEqual({ ok: true });
    postgres?.stop();
    const asked = performance.now();
    await expectDown('log-unwritable', /the database that DATABASE_URL names cannot be used/);
    expect(performance.now() - asked).toBeLessThan(5000);
    await close();
  });
});
