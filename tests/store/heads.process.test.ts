import { copyFileSync, cpSync, existsSync, mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { afterAll, describe, expect, test } from 'vitest';
import { seededRandom } from '../../src/algorithms/index.ts';
import { headsText, olderCopiesAccepted, readHeads } from '../../src/log-book/index.ts';
import { sayProblem } from '../../src/site-map/index.ts';
import { type LogBook, openLogStore, StoreFault } from '../../src/store/index.ts';
import { madeEntry, sha256, siteOf } from '../log-book/made.ts';
import { ENGLISH, english, englishProblems } from '../support/english.ts';

const folder = mkdtempSync(join(tmpdir(), 'oilshed-heads-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));
let books = 0;
const fresh = () => join(folder, `book-${++books}`);

const headsIn = (path: string) => readHeads(readFileSync(join(path, 'log.heads'), 'utf8'), sha256).kept?.heads;
const numbersIn = (path: string) => headsIn(path)?.map(({ site, seq }) => `${site} ${seq}`);

/** A book with so many entries; all of them in its one file once it is closed. */
async function bookWith(count: number, path = fresh()): Promise<string> {
  const store = await openLogStore({ folder: path });
  const first = (await store.heads())[0]?.seq ?? 0;
  for (let n = first + 1; n <= count; n++) await store.add(madeEntry(n));
  await store.close();
  return path;
}

/** What opening it to write, and verifying it, say. */
async function looks(path: string) {
  const writing = await openLogStore({ folder: path, patienceMs: 100 }).then(
    (store) => store.close(),
    (error) => {
      if (error instanceof StoreFault) return sayProblem(error.problem, ENGLISH);
      throw error;
    },
  );
  try {
    const store = await openLogStore({ folder: path, purpose: 'read', patienceMs: 100 });
    const verified = await store.verify().finally(() => store.close());
    return { writing, verified: { ...verified, problems: englishProblems(verified.problems) } };
  } catch (error) {
    if (error instanceof StoreFault)
      return { writing, verified: { ok: false, entries: 0, people: 0, problems: englishProblems([error.problem]) } };
    throw error;
  }
}

async function inTime(isSo: () => boolean, ms: number): Promise<boolean> {
  const until = performance.now() + ms;
  while (!isSo() && performance.now() < until) await sleep(10);
  return isSo();
}

describe('the heads beside a book', () => {
  test('stand there from the opening of a new book on, and follow it within a second and when it is closed', async () => {
    const path = fresh();
    const store = await openLogStore({ folder: path });
    expect(headsIn(path)).toEqual([]);
    const { accepted } = await store.add(madeEntry(1));
    expect(await inTime(() => headsIn(path)?.length === 1, 1000)).toBe(true);
    expect(headsIn(path)).toEqual([{ site: 'tarn-lane', seq: 1, hash: accepted?.hash }]);
    await store.add(madeEntry(2, { site: 'west-yard' }));
    await store.close();
    expect(numbersIn(path)).toEqual(['tarn-lane 1', 'west-yard 1']);
  });

  test('follow within a second also who adds entry after entry, and are not written for each of them', async () => {
    const path = fresh();
    const store = await openLogStore({ folder: path });
    const [start, files] = [performance.now(), new Set<number>()];
    const acknowledged: { seq: number; ms: number }[] = [];
    let most = 0;
    for (let n = 1; performance.now() - start < 1500; n++) {
      const { accepted } = await store.add(madeEntry(n));
      const ms = performance.now();
      acknowledged.push({ seq: accepted?.seq ?? 0, ms });
      files.add(statSync(join(path, 'log.heads')).ino);
      const written = headsIn(path)?.[0]?.seq ?? 0;
      const oldest = acknowledged.find(({ seq }) => seq > written);
      most = Math.max(most, oldest ? ms - oldest.ms : 0);
    }
    await store.close();
    expect(acknowledged.length).toBeGreaterThan(50);
    expect(most).toBeLessThan(1000);
    // The same number may come back for another file, so that this is no more than a lower bound of the writes.
    expect(files.size).toBeLessThan(8);
  });

  test('are those of all who write in the book at once', async () => {
    const path = fresh();
    const stores = await Promise.all([1, 2, 3].map(() => openLogStore({ folder: path })));
    await Promise.all(
      stores.map(async (store, at) => {
        for (let n = 1; n <= 60; n++) await store.add(madeEntry(at * 100 + n, { site: `yard-${n % 2}` }));
      }),
    );
    for (const store of stores) await store.close();
    expect(numbersIn(path)).toEqual(['yard-0 90', 'yard-1 90']);
  });
});

describe('a write-ahead log', () => {
  const COUNT = 40;
  /** A copy of a book whose last 25 entries only its write-ahead log has, as it lay there while it was open. */
  let original: string | undefined;
  async function copy(): Promise<string> {
    if (original === undefined) {
      const path = await bookWith(15);
      const store = await openLogStore({ folder: path });
      for (let n = 16; n <= COUNT; n++) await store.add(madeEntry(n));
      expect(await inTime(() => headsIn(path)?.[0].seq === COUNT, 1500)).toBe(true);
      original = fresh();
      cpSync(path, original, { recursive: true });
      rmSync(join(original, 'log.sqlite-shm'), { force: true });
      await store.close();
    }
    const path = fresh();
    cpSync(original, path, { recursive: true });
    return path;
  }
  const wal = (path: string) => join(path, 'log.sqlite-wal');

  test('that is there loses nothing; one that was lost is found by verify and on opening to write', async () => {
    const whole = await looks(await copy());
    expect(whole).toMatchObject({ writing: undefined, verified: { ok: true, entries: COUNT, problems: [] } });
    const path = await copy();
    rmSync(wal(path));
    const { writing, verified } = await looks(path);
    expect(writing).toMatchObject({
      code: 'log-behind',
      message: 'entries 16 to 40 are gone from the end of tarn-lane, by the head that was kept of it',
      cure: expect.stringContaining('log heads --accept'),
    });
    expect(verified).toMatchObject({ ok: false, entries: 15, problems: [writing] });
    expect(numbersIn(path)).toEqual(['tarn-lane 40']);
  });

  test('cut or damaged anywhere either loses nothing or is found', { timeout: 120_000 }, async () => {
    const random = seededRandom(17);
    const { size } = statSync(wal(await copy()));
    let found = 0;
    for (let round = 0; round < 40; round++) {
      const path = await copy();
      const bytes = readFileSync(wal(path));
      const at = Math.floor(random.uniform() * size);
      if (round % 2) bytes[at] ^= 1 << Math.floor(random.uniform() * 8);
      writeFileSync(wal(path), round % 2 ? bytes : bytes.subarray(0, at));
      const { writing, verified } = await looks(path);
      if (verified.ok) expect([writing, verified.entries], `at ${at}`).toEqual([undefined, COUNT]);
      else {
        found++;
        expect(verified.problems[0].code, `at ${at}`).toMatch(/^log-(behind|damaged)$/);
        expect(writing?.code, `at ${at}`).toMatch(/^log-(behind|damaged)$/);
      }
    }
    expect(found).toBeGreaterThan(20);
  });
});

describe('an older copy', () => {
  /** A book of five entries in which the file of three was put back. */
  async function restored(): Promise<string> {
    const path = await bookWith(3);
    copyFileSync(join(path, 'log.sqlite'), join(folder, 'of-three'));
    await bookWith(5, path);
    copyFileSync(join(folder, 'of-three'), join(path, 'log.sqlite'));
    return path;
  }
  const accept = async (path: string) => {
    const store = await openLogStore({ folder: path, purpose: 'accept' });
    return store.acceptHeads().finally(() => store.close());
  };

  test('takes no entry until it was accepted; then it goes its own way', async () => {
    const path = await restored();
    const { writing, verified } = await looks(path);
    expect(writing).toMatchObject({ code: 'log-behind', message: expect.stringContaining('entries 4 to 5 are gone') });
    const reading = await openLogStore({ folder: path, purpose: 'read' });
    expect(await reading.heads()).toMatchObject([{ seq: 3 }]);
    await reading.close();
    const accepted = await accept(path);
    expect(accepted.map(({ code, message }) => [code, english(message)])).toEqual([['log-behind', writing?.message]]);
    expect(await accept(path)).toEqual([]);
    const book = await openLogStore({ folder: path, purpose: 'read' });
    expect(olderCopiesAccepted(await book.people.record.texts())).toEqual([
      { at: expect.any(String), lost: [{ chain: 'tarn-lane', seq: 5, hash: verified.problems[0].allowed }] },
    ]);
    await book.close();
    await bookWith(4, path);
    expect(await looks(path)).toMatchObject({ writing: undefined, verified: { ok: true, entries: 4 } });
  });

  test('shows where only its people are older', async () => {
    const path = await bookWith(2);
    const manager = { name: 'R. Calloway', role: 'manager', password: 'lids and sheens 77' } as const;
    const crew = { name: 'M. Lund', role: 'crew', password: 'grates and plugs 31' } as const;
    const first = await openLogStore({ folder: path });
    for (const person of [manager, crew]) expect((await first.people.add(person)).problems).toEqual([]);
    await first.close();
    copyFileSync(join(path, 'log.sqlite'), join(folder, 'of-both'));
    const second = await openLogStore({ folder: path });
    await second.people.remove(crew.name);
    await second.close();
    copyFileSync(join(folder, 'of-both'), join(path, 'log.sqlite'));
    const { writing } = await looks(path);
    expect(writing?.message).toBe(
      'entry 3 is gone from the end of the record of people, by the head that was kept of it',
    );
    await accept(path);
    expect(await looks(path)).toMatchObject({ writing: undefined, verified: { ok: true, people: 3 } });
  });

  test('that was written to by another program shows by the entry that is another now', async () => {
    const path = await restored();
    const other = fresh();
    cpSync(path, other, { recursive: true });
    rmSync(join(other, 'log.heads'));
    const store = await openLogStore({ folder: other });
    for (let n = 14; n <= 16; n++) await store.add(madeEntry(n));
    await store.close();
    copyFileSync(join(other, 'log.sqlite'), join(path, 'log.sqlite'));
    const { writing, verified } = await looks(path);
    expect(writing).toMatchObject({
      code: 'log-behind',
      message: 'entry 5 of tarn-lane is another than the head that was kept of it',
    });
    expect(verified).toMatchObject({ ok: false, entries: 6 });
  });

  test('of the heads alone says nothing wrong, and follows', async () => {
    const path = await bookWith(3);
    copyFileSync(join(path, 'log.heads'), join(folder, 'heads-of-three'));
    await bookWith(5, path);
    copyFileSync(join(folder, 'heads-of-three'), join(path, 'log.heads'));
    expect(await looks(path)).toMatchObject({ writing: undefined, verified: { ok: true, entries: 5, problems: [] } });
    expect(numbersIn(path)).toEqual(['tarn-lane 5']);
  });
});

test('heads that were damaged are told as that, and not taken for a book that lost something', async () => {
  const path = await bookWith(2);
  const text = readFileSync(join(path, 'log.heads'), 'utf8');
  for (const other of [text.replace('"seq":2', '"seq":3'), text.slice(0, 40), '', '\0'.repeat(80)]) {
    writeFileSync(join(path, 'log.heads'), other);
    const { writing, verified } = await looks(path);
    expect(writing, other).toMatchObject({
      code: 'log-damaged',
      message: expect.stringMatching(/^log\.heads is damaged \(/),
    });
    expect(verified.problems, other).toEqual([writing]);
    expect(readFileSync(join(path, 'log.heads'), 'utf8')).toBe(other);
  }
  const store = await openLogStore({ folder: path, purpose: 'accept' });
  expect(await store.acceptHeads()).toMatchObject([{ code: 'log-damaged' }]);
  await store.close();
  expect(numbersIn(path)).toEqual(['tarn-lane 2']);
  expect(await looks(path)).toMatchObject({ writing: undefined, verified: { ok: true, problems: [] } });
});

test('a book without heads beside it, as all were before, opens, is told so by verify, and gets some', async () => {
  const path = await bookWith(2);
  rmSync(join(path, 'log.heads'));
  const store: LogBook = await openLogStore({ folder: path, purpose: 'read' });
  expect(await store.verify()).toMatchObject({ ok: true, problems: [{ code: 'no-heads', severity: 'warning' }] });
  await store.close();
  expect(existsSync(join(path, 'log.heads'))).toBe(false);
  await (await openLogStore({ folder: path })).close();
  expect(numbersIn(path)).toEqual(['tarn-lane 2']);
});

test('heads as text come back as they were, and not at all where a character of them was changed', () => {
  const heads = [
    { site: siteOf('west "yard"\u00e9'), seq: 12, hash: 'a'.repeat(64) },
    { site: siteOf('tarn-lane'), seq: 1, hash: '0'.repeat(64) },
  ];
  const kept = { heads, people: { seq: 4, hash: 'b'.repeat(64) } };
  const text = headsText(kept, sha256);
  expect(readHeads(text, sha256)).toEqual({ kept, problems: [] });
  for (const other of [
    text.replace('12', '13'),
    text.replace('west', 'east'),
    text.replace('"version": 1', '"version": 2'),
    '{}',
  ])
    expect(readHeads(other, sha256).kept, other).toBeUndefined();
});
