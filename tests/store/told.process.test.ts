import {
  appendFileSync,
  copyFileSync,
  mkdirSync,
  mkdtempSync,
  renameSync,
  rmSync,
  statSync,
  truncateSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { DatabaseSync } from '@photostructure/sqlite';
import { dictionary } from '@zxcvbn-ts/language-common';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { Told } from '../../src/catalogue/index.ts';
import type { Problem } from '../../src/site-map/index.ts';
import { fileFault, notInstalled, readFault } from '../../src/store/fault.ts';
import { backUp, entryOf, type LogBook, openLogStore, StoreFault } from '../../src/store/index.ts';
import { photoQuota } from '../../src/store/photo-quota.ts';
import { openPostgres } from '../../src/store/postgres.ts';
import { faultOf } from '../../src/store/sqlite.ts';
import { faultOfFile } from '../../src/store/sqlite-file.ts';
import { chainOf, idOf, madeEntry, madePhoto, sha256, siteOf } from '../log-book/made.ts';
import { escaped, escapedFrom, unsaid } from '../support/told.ts';

/** What the store tells, provoked once each and said in a language that does not exist. */

const folder = mkdtempSync(join(tmpdir(), 'oilshed-told-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));
let books = 0;
const fresh = () => join(folder, `book-${++books}`);

const problems: Problem[] = [];
const messages: Told[] = [];

/** Takes down what stops some work. */
async function stops(work: () => unknown): Promise<void> {
  try {
    await work();
  } catch (error) {
    if (!(error instanceof StoreFault)) throw error;
    problems.push(error.problem);
    return;
  }
  throw new Error('nothing stopped it');
}
const take = ({ problems: found }: { problems: readonly Problem[] }) => void problems.push(...found);

/** A book with so many entries of each site. */
async function bookWith(count: number, path = fresh()): Promise<string> {
  const store = await openLogStore({ folder: path });
  for (const site of ['tarn-lane', 'east']) {
    const first = (await store.heads()).find((head) => head.site === site)?.seq ?? 0;
    const from = site === 'east' ? 100 : 0;
    for (let n = first + 1; n <= count; n++) await store.add(madeEntry(from + n, { site }));
  }
  await store.close();
  return path;
}
const reading = async <T>(path: string, work: (store: LogBook) => Promise<T>) => {
  const store = await openLogStore({ folder: path, purpose: 'read', patienceMs: 50 });
  return work(store).finally(() => store.close());
};

beforeAll(async () => {
  await ofFiles();
  await ofBooks();
  await ofEntries();
  await ofPeople();
}, 120_000);

/** What the machine says of files, and what databases say of themselves. */
async function ofFiles() {
  for (const code of ['EACCES', 'EROFS', 'ENOSPC', 'ENOTDIR', 'EEXIST', 'EIO']) {
    await stops(() => {
      throw fileFault(Object.assign(new Error('EIO: i/o error'), { code }));
    });
  }
  for (const code of ['EACCES', 'EIO', 'EISDIR'])
    problems.push(readFault('log.heads', Object.assign(new Error('EIO: i/o error'), { code })).problem);
  problems.push(notInstalled('argon2', new Error('No native build. Ask them.')).problem);
  const { faultOf: inPostgres, db } = await openPostgres('postgres://127.0.0.1:1/none');
  await db.destroy();
  const faults = [
    ...[5, 11, 8].map((errcode) => faultOf(Object.assign(new Error('disk I/O error'), { errcode }))),
    ...['23505', '42P01', '57P01'].map((code) => inPostgres(Object.assign(new Error('it is going away'), { code }))),
  ];
  for (const fault of faults) await stops(() => Promise.reject(fault));

  const file = join(folder, 'log.sqlite');
  const db2 = new DatabaseSync(file);
  db2.exec('create table places (id text); insert into places values (1)');
  db2.close();
  const opened = statSync(file);
  const look = () => messages.push(...[faultOfFile(file, opened)].filter((fault) => fault !== null));
  truncateSync(file, 4096);
  look();
  writeFileSync(file, 'x'.repeat(5000));
  look();
  renameSync(file, `${file}-old`);
  look();
  writeFileSync(file, 'x'.repeat(5000));
  look();
}

/** What a whole book lacks. */
async function ofBooks() {
  await stops(() => openLogStore({ folder: fresh(), purpose: 'read' }));
  const empty = fresh();
  mkdirSync(empty);
  writeFileSync(join(empty, 'log.sqlite'), '');
  await stops(() => openLogStore({ folder: empty, patienceMs: 50 }));

  const behind = await bookWith(2);
  copyFileSync(join(behind, 'log.sqlite'), join(folder, 'of-two'));
  await bookWith(3, behind);
  copyFileSync(join(folder, 'of-two'), join(behind, 'log.sqlite'));
  await stops(() => openLogStore({ folder: behind }));
  await stops(() => backUp({ folder: behind, to: behind }));

  const path = await bookWith(2);
  const kept = { heads: [{ site: siteOf('tarn-lane'), seq: 9, hash: 'a'.repeat(64) }], people: null };
  problems.push(...(await reading(path, (store) => store.lackedBy(kept))));
  appendFileSync(join(path, 'log.heads'), 'x');
  take(await reading(path, (store) => store.verify()));
  rmSync(join(path, 'log.heads'));
  take(await reading(path, (store) => store.verify()));

  const gap = await bookWith(3);
  const db = new DatabaseSync(join(gap, 'log.sqlite'));
  db.exec('drop trigger entries_delete; delete from entries where seq = 2');
  db.close();
  await stops(() =>
    reading(gap, async (store) => {
      for await (const page of store.pages()) expect(page).toHaveLength(3);
    }),
  );
  await stops(() => entryOf({ id: idOf(7), site: siteOf('tarn-lane'), seq: 7, text: '{' }));
}

/** What entries and the files that they name are refused for. */
async function ofEntries() {
  const path = fresh();
  const store = await openLogStore({ folder: path });
  const photo = store.photos.save(madePhoto(1));
  await store.add(madeEntry(1, { photos: [photo] }));
  const none = 'b'.repeat(64);
  const refused = [
    madeEntry(2, { photos: [none] }),
    madeEntry(2, { kind: 'map', body: { sha256: none } }),
    madeEntry(1, { by: 'A. Vale' }),
    madeEntry(2, { kind: 'correction', body: { corrects: idOf(9), note: '' } }),
  ];
  for (const entry of refused) take(await store.add(entry));
  take(await store.takeOver(chainOf([madeEntry(2), madeEntry(3)]).slice(1)));
  const { account: _, ...old } = chainOf([madeEntry(5, { site: 'east', kind: 'map', body: { sha256: none } })])[0];
  const olden = { ...old, hash: sha256(Buffer.from('old')) };
  take(await store.takeOver([olden]));
  take(await store.verify());
  const bytes = madePhoto(1);
  writeFileSync(join(path, 'photos', photo), bytes.subarray(1));
  take(await store.verify());
  problems.push(...(await backUp({ folder: path, to: fresh() })));
  rmSync(join(path, 'photos', photo));
  take(await store.verify());

  const quota = photoQuota(store, 1500);
  for (const site of [undefined, 'tarn-lane']) {
    const { problem } = await quota.take(2000, site);
    if (problem) problems.push(problem);
  }
  await store.close();
}

/** What is refused to those who sign in. */
async function ofPeople() {
  const { people, close } = await openLogStore({ folder: fresh() });
  const lund = { name: 'M. Lund', role: 'manager', password: 'seven lids deep' } as const;
  const ortega = { name: 'J. Ortega', role: 'crew', password: 'oil floats on top' } as const;
  take(await people.add({ name: '', role: 'boss' as 'crew', password: 'short' }));
  take(await people.add({ ...lund, name: 'This machine' }));
  const common = dictionary['passwords-common'].find((each) => each.length >= 12) ?? '';
  for (const password of [common, 'M. Lund M. Lund']) take(await people.add({ ...lund, password }));
  for (const person of [lund, ortega, lund]) take(await people.add(person));
  take(await people.remove('Nobody'));
  take(await people.setRole(lund.name, 'crew'));
  const change = (now: string, next: string) => people.changePassword(lund.name, { now, next }, 'a browser');
  take(await change('seven lids high', 'nine grates and more'));
  take(await change(lund.password, lund.password));
  take(await people.makeToken({ person: ortega.name, name: 'gauge', role: 'manager' }));
  for (let n = 0; n < 51; n++) take(await people.makeToken({ person: ortega.name, name: `gauge ${n}`, role: 'crew' }));
  take(await people.makeToken({ person: lund.name, name: 'gauge', role: 'crew' }));
  take(await people.makeToken({ person: lund.name, name: 'gauge', role: 'crew' }));
  take(await people.endToken({ person: lund.name, name: 'none' }));
  const texts = (await people.record.texts()).map(({ text }) => text);
  await close();
  const other = await openLogStore({ folder: fresh() });
  await other.people.add(ortega);
  take(await other.people.record.takeOver(texts));
  await other.close();
}

/** What nobody could bring about here: a disk that is full or read-only, a database that hangs, loses its tables or is damaged inside. */
const NOT_TRIED = [
  'store.written-all-the-time',
  'store.no-room-for-copy',
  'store.no-room-for-copy-remedy',
  'store.no-answer',
  'store.no-answer-remedy',
  'store.tables-unreadable',
  'store.import-anew',
];

test('the store tells nothing outside the catalogue, and every message of it', () => {
  const values =
    'i/o error EIO log.heads argon2 native build disk it is going away tarn-lane east crew manager viewer, crew gauge';
  const names = `${values} J. Ortega M. Lund This machine Nobody none No ${process.platform} ${process.arch} ${folder} kB`;
  const source = names + 'a'.repeat(64) + 'b'.repeat(64);
  expect(problems.flatMap((each) => escaped(each, source))).toEqual([]);
  expect(escapedFrom(messages)).toEqual([]);
  expect(unsaid([...problems, ...messages], ['store'])).toEqual(NOT_TRIED);
});
