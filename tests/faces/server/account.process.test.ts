import { cpSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { FastifyInstance } from 'fastify';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { buildApp } from '../../../src/faces/server/app.ts';
import { type NewEntry, type SealedEntry, unsealed } from '../../../src/log-book/index.ts';
import { entryOf, type LogBook, openLogStore } from '../../../src/store/index.ts';
import { madeEntry } from '../../log-book/made.ts';
import { addPeople, cookieOf } from './made-people.ts';

let folder: string;
let book: LogBook;
let app: FastifyInstance;
const open = async (data: string) => {
  book = await openLogStore({ folder: data });
  app = await buildApp(process.cwd(), book);
};
beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), 'oilshed-account-'));
  await open(join(folder, 'new'));
});
afterEach(async () => {
  await app.close();
  await book.close();
  rmSync(folder, { recursive: true, force: true });
});

const post = (entry: object, headers = {}) =>
  app.inject({
    method: 'POST',
    url: '/api/entries',
    headers: { 'content-type': 'application/json', ...headers },
    payload: JSON.stringify(entry),
  });
const textsOf = async () => {
  const texts: string[] = [];
  for await (const page of book.pages()) texts.push(...page.map(({ text }) => text));
  return texts;
};
const sealedOf = async () => {
  const sealed: SealedEntry[] = [];
  for await (const page of book.pages()) sealed.push(...page.map(entryOf));
  return sealed;
};

test('an entry is sealed with the account of who sent it: none at this machine, then who is signed in', async () => {
  await post(madeEntry(1));
  await addPeople(book);
  const cookie = await cookieOf(app, 'crew');
  await post(madeEntry(2, { by: 'somebody else' }), cookie);
  const claimed = { ...madeEntry(3), account: 'M. Lund' };
  const first = await post(claimed, cookie);
  expect(first.statusCode).toBe(201);
  // Sent again by another, or with another account written in it, it is the same entry, and the first account stays.
  for (const again of [madeEntry(3), { ...claimed, account: null }])
    expect((await post(again, await cookieOf(app, 'manager'))).json()).toEqual(first.json());
  expect((await sealedOf()).map(({ by, account }) => [by, account])).toEqual([
    ['J. Ortega', null],
    ['somebody else', 'J. Ortega'],
    ['J. Ortega', 'J. Ortega'],
  ]);
  expect(await book.verify()).toMatchObject({ ok: true, entries: 3 });
});

test('entries from before accounts keep text and hash, are the same when sent again, and new ones follow them', async () => {
  await app.close();
  await book.close();
  cpSync('tests/store/books/book', join(folder, 'old'), { recursive: true });
  await open(join(folder, 'old'));
  const before = await textsOf();
  expect(before.length).toBeGreaterThan(3);
  for (const { account, ...sealed } of await sealedOf()) {
    expect(account).toBeUndefined();
    expect(await book.add(unsealed(sealed) as NewEntry, 'A. Vance')).toMatchObject({
      accepted: { hash: sealed.hash, isNew: false },
    });
  }
  expect(await textsOf()).toEqual(before);
  await book.add(madeEntry(901), 'A. Vance');
  const last = (await sealedOf()).find(({ account }) => account === 'A. Vance');
  expect(before.some((text) => text.includes(`"hash":"${last?.previous}"`))).toBe(true);
  expect((await book.verify()).problems).toEqual([]);
  const copy = await openLogStore({ folder: join(folder, 'copy') });
  for (const { photos = [] } of await sealedOf())
    for (const name of photos) copy.photos.save(book.photos.read(name) as Uint8Array);
  for (const { kind, body } of await sealedOf())
    if (kind === 'map') copy.maps.save(book.maps.read(String(body.sha256)) as Uint8Array);
  expect((await copy.takeOver(await sealedOf())).problems).toEqual([]);
  expect(await copy.heads()).toEqual(await book.heads());
  await copy.close();
});
