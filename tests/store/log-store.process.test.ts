import { spawnSync } from 'node:child_process';
import { chmodSync, existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { DatabaseSync } from '@photostructure/sqlite';
import pg from 'pg';
import { afterAll, afterEach, beforeEach, describe, expect, test } from 'vitest';
import { startPostgres } from '../../.scripts/postgres.ts';
import { canonicalText, type EntryId, type NewEntry, type SealedEntry } from '../../src/log-book/index.ts';
import { type LogStore, openLogStore } from '../../src/store/index.ts';
import { chainOf, idOf, madeEntry, madePhoto, sha256, siteOf } from '../log-book/made.ts';
import { englishProblems } from '../support/english.ts';

const postgres = await startPostgres().catch((error: Error) => {
  console.warn(error.message);
  return null;
});
afterAll(() => postgres?.stop());

const folder = () => mkdtempSync(join(tmpdir(), 'oilshed-log-'));
const remove = (path: string) => rmSync(path, { recursive: true, force: true });

/** One kind of store: where it is kept, and how its tables are reached past it. */
interface Kind {
  name: string;
  databaseUrl(): Promise<string | undefined>;
  /** Runs SQL past the store; `loosely` first takes away what the database itself refuses. */
  tamper(place: { folder: string; databaseUrl?: string }, sql: string, loosely?: 'loosely'): Promise<void>;
}

const SQLITE_TRIGGERS = ['entries_update', 'entries_delete', 'entries_insert', 'heads_update', 'heads_delete'];
const sqlite: Kind = {
  name: 'SQLite',
  databaseUrl: async () => undefined,
  async tamper({ folder }, sql, loosely) {
    const db = new DatabaseSync(join(folder, 'log.sqlite'));
    try {
      if (loosely) for (const name of SQLITE_TRIGGERS) db.exec(`drop trigger if exists ${name}`);
      db.exec(sql);
    } finally {
      db.close();
    }
  },
};

let databases = 0;
const postgresKind: Kind = {
  name: 'PostgreSQL',
  async databaseUrl() {
    const name = `book${++databases}`;
    const client = new pg.Client(postgres?.url);
    await client.connect();
    await client.query(`create database ${name}`);
    await client.end();
    return String(postgres?.url).replace(/postgres$/, name);
  },
  async tamper({ databaseUrl }, sql, loosely) {
    const client = new pg.Client(databaseUrl);
    await client.connect();
    try {
      if (loosely)
        await client.query('alter table entries disable trigger user; alter table heads disable trigger user');
      await client.query(sql);
    } finally {
      await client.end();
    }
  },
};

const textsOf = async (store: LogStore, which = {}) => {
  const texts: string[] = [];
  for await (const page of store.pages(which)) texts.push(...page.map(({ text }) => text));
  return texts;
};
const entriesOf = async (store: LogStore, which = {}) =>
  (await textsOf(store, which)).map((text) => JSON.parse(text) as SealedEntry);

describe.each([
  { kind: sqlite, skip: false },
  { kind: postgresKind, skip: postgres === null },
])('the log book in $kind.name', ({ kind, skip }) => {
  describe.skipIf(skip)('', () => {
    let place: { folder: string; databaseUrl?: string };
    let store: LogStore;
    let clock: string[] = [];
    const open = () =>
      openLogStore({ ...place, patienceMs: 3000, now: () => clock.shift() ?? new Date().toISOString() });
    const add = async (entry: NewEntry) => {
      const { accepted, problems } = await store.add(entry);
      expect(problems).toEqual([]);
      return accepted;
    };
    beforeEach(async () => {
      place = { folder: folder(), databaseUrl: await kind.databaseUrl() };
      store = await open();
    });
    afterEach(async () => {
      await store.close();
      remove(place.folder);
    });

    test('gives each site its own 1, 2, 3 and chains the hashes', async () => {
      const given = [1, 2, 3].map((n) => madeEntry(n));
      for (const entry of given) await add(entry);
      await add(madeEntry(4, { site: 'west-yard' }));
      const entries = await entriesOf(store);
      expect(entries.map(({ site, seq }) => [site, seq])).toEqual([
        ['tarn-lane', 1],
        ['tarn-lane', 2],
        ['tarn-lane', 3],
        ['west-yard', 1],
      ]);
      expect(entries.map(({ previous }) => previous)).toEqual([null, entries[0].hash, entries[1].hash, null]);
      for (const { hash, ...rest } of entries) expect(sha256(Buffer.from(canonicalText(rest)))).toBe(hash);
      expect(await store.verify()).toMatchObject({ ok: true, entries: 4, photos: 0, problems: [] });
      expect(await store.heads()).toMatchObject([
        { site: 'tarn-lane', seq: 3, hash: entries[2].hash },
        { site: 'west-yard', seq: 1, hash: entries[3].hash },
      ]);
    });

    test('keeps what was written after it is closed and opened again', async () => {
      await add(madeEntry(1));
      const texts = await textsOf(store);
      await store.close();
      store = await open();
      expect(await textsOf(store)).toEqual(texts);
      expect((await add(madeEntry(2)))?.seq).toBe(2);
    });

    test('answers the same to the same entry sent again, and refuses other content under its id', async () => {
      const first = await add(madeEntry(1));
      expect(first?.isNew).toBe(true);
      await add(madeEntry(2));
      const turned = Object.fromEntries(Object.entries(madeEntry(1)).reverse()) as unknown as NewEntry;
      expect(await store.add(turned)).toEqual({ accepted: { ...first, isNew: false }, problems: [] });
      for (const other of [madeEntry(1, { by: 'M. Lund' }), madeEntry(1, { site: 'west-yard' })])
        expect(await store.add(other)).toMatchObject({
          accepted: null,
          problems: [{ code: 'entry-conflict', id: idOf(1) }],
        });
      expect(await textsOf(store)).toHaveLength(2);
      expect((await store.verify()).ok).toBe(true);
    });

    test('takes a correction of an earlier entry of the same site, and of nothing else', async () => {
      await add(madeEntry(1));
      await add(madeEntry(2, { site: 'west-yard' }));
      const correcting = (n: number, corrects: string) =>
        madeEntry(n, { kind: 'correction', body: { corrects, note: 'it was CB-2' } });
      for (const wrong of [idOf(2), idOf(3), idOf(99)])
        expect((await store.add(correcting(3, wrong))).problems).toMatchObject([
          { code: 'unknown-id', field: 'body.corrects', id: idOf(3) },
        ]);
      await add(correcting(3, idOf(1)));
      expect(await textsOf(store, { site: 'tarn-lane' })).toHaveLength(2);
      expect((await store.verify()).ok).toBe(true);
    });

    test('gives out part of it: by site, after a seq, so many', async () => {
      for (let n = 1; n <= 6; n++) await add(madeEntry(n, { site: n % 2 ? 'tarn-lane' : 'west-yard' }));
      const seqs = async (which: object) => (await entriesOf(store, which)).map(({ site, seq }) => `${site} ${seq}`);
      expect(await seqs({ site: 'west-yard' })).toEqual(['west-yard 1', 'west-yard 2', 'west-yard 3']);
      expect(await seqs({ site: 'west-yard', after: 1, limit: 1 })).toEqual(['west-yard 2']);
      expect(await seqs({ after: 2 })).toEqual(['tarn-lane 3', 'west-yard 3']);
      expect(await seqs({ limit: 4 })).toEqual(['tarn-lane 1', 'tarn-lane 2', 'tarn-lane 3', 'west-yard 1']);
      expect(await seqs({ site: 'nowhere' })).toEqual([]);
      expect(await seqs({ limit: 0 })).toEqual([]);
    });

    test('gives out the entry with an id', async () => {
      for (const n of [1, 2]) await add(madeEntry(n, { site: 'west-yard' }));
      const text = (await textsOf(store, { after: 1 }))[0];
      expect(await store.entry(idOf(2))).toEqual({ id: idOf(2), site: 'west-yard', seq: 2, text });
      for (const id of [idOf(3), ...(['', `' or '1'='1`] as EntryId[])]) expect(await store.entry(id)).toBeNull();
    });

    test('gives out the newest first, and what stands before a number', async () => {
      const chain = chainOf(Array.from({ length: 520 }, (_, n) => madeEntry(n + 1)));
      await store.takeOver(chain);
      for (const n of [1, 2]) await add(madeEntry(1000 + n, { site: 'west-yard' }));
      const seqs = async (which: object) => (await entriesOf(store, which)).map(({ seq }) => seq);
      const down = (from: number, to: number) => Array.from({ length: from - to + 1 }, (_, n) => from - n);
      const newest = { site: 'tarn-lane', isNewestFirst: true };
      expect(await seqs({ ...newest, limit: 3 })).toEqual([520, 519, 518]);
      expect(await seqs({ ...newest, before: 518, limit: 2 })).toEqual([517, 516]);
      expect(await seqs({ ...newest, before: 3 })).toEqual([2, 1]);
      expect(await seqs({ ...newest, after: 515, before: 519 })).toEqual([518, 517, 516]);
      expect(await seqs(newest)).toEqual(down(520, 1));
      expect(await seqs({ isNewestFirst: true, after: 518 })).toEqual([520, 519]);
      expect(await seqs({ before: 2 })).toEqual([1, 1]);
      expect(await seqs({ ...newest, before: 1 })).toEqual([]);
      expect(await seqs({ ...newest, before: 1e9, limit: 1 })).toEqual([520]);
    });

    test('two who write at once, through stores of their own, get consecutive numbers', async () => {
      const other = await open();
      const numbers = Array.from({ length: 40 }, (_, n) => n + 1);
      const answers = await Promise.all(numbers.map((n) => (n % 2 ? store : other).add(madeEntry(n))));
      await other.close();
      expect(answers.map(({ accepted }) => accepted?.seq).sort((a, b) => Number(a) - Number(b))).toEqual(numbers);
      expect(await store.verify()).toMatchObject({ ok: true, entries: 40 });
    });

    test('the same entry sent by two at once is taken once, and both hear the same', async () => {
      const other = await open();
      const both = await Promise.all([store, other, store, other].map((each) => each.add(madeEntry(1))));
      const elsewhere = await Promise.all([store.add(madeEntry(2)), other.add(madeEntry(2, { site: 'west-yard' }))]);
      await other.close();
      expect(new Set(both.map(({ accepted }) => accepted?.hash)).size).toBe(1);
      expect(both.filter(({ accepted }) => accepted?.isNew)).toHaveLength(1);
      expect(elsewhere.filter(({ accepted }) => accepted === null)).toHaveLength(1);
      expect(await store.verify()).toMatchObject({ ok: true, entries: 2 });
    });

    test('two who open a new book at once both can', async () => {
      const fresh = { folder: folder(), databaseUrl: await kind.databaseUrl() };
      const stores = await Promise.all([1, 2, 3].map(() => openLogStore({ ...fresh, patienceMs: 5000 })));
      for (const [n, each] of stores.entries()) expect((await each.add(madeEntry(n + 1))).accepted?.seq).toBe(n + 1);
      for (const each of stores) await each.close();
      remove(fresh.folder);
    });

    test('a clock that runs backwards is written down as it was, and the numbers keep the order', async () => {
      clock = ['2026-05-30T10:00:00.000Z', '2026-05-30T09:00:00.000Z', '2020-01-01T00:00:00.000Z'];
      for (const n of [1, 2, 3]) await add(madeEntry(n));
      const entries = await entriesOf(store);
      expect(entries.map(({ seq, received }) => [seq, received.slice(0, 13)])).toEqual([
        [1, '2026-05-30T10'],
        [2, '2026-05-30T09'],
        [3, '2020-01-01T00'],
      ]);
      expect((await store.verify()).ok).toBe(true);
    });

    test('hostile text in every field is text, and the tables stand', async () => {
      const nasty = `'); drop table entries; --<script>alert(1)</script>" \\ %s \${1} 🛢`;
      const entry = madeEntry(1, { site: nasty, by: nasty, body: { [nasty]: nasty, nul: '\0', __proto__: [nasty] } });
      const sent = JSON.parse(
        JSON.stringify(entry).replace('"nul"', '"__proto__":{"polluted":true},"nul"'),
      ) as NewEntry;
      await add(sent);
      const [kept] = await entriesOf(store, { site: nasty });
      expect(kept).toMatchObject({ site: nasty, by: nasty, at: entry.at });
      expect(canonicalText(kept.body)).toBe(canonicalText(sent.body));
      expect(Object.hasOwn(kept.body, '__proto__')).toBe(true);
      expect(({} as { polluted?: boolean }).polluted).toBeUndefined();
      expect((await store.verify()).ok).toBe(true);
    });

    test('is held against heads that were kept elsewhere', async () => {
      for (const n of [1, 2]) await add(madeEntry(n));
      const kept = await store.keptHeads();
      expect(kept).toEqual({ heads: await store.heads(), people: null });
      await add(madeEntry(3));
      expect(await store.lackedBy(kept)).toEqual([]);
      const [head] = kept.heads;
      const others = [
        { ...head, seq: 5 },
        { ...head, hash: '0'.repeat(64) },
        { ...head, site: siteOf('east') },
      ];
      expect(
        englishProblems(await store.lackedBy({ heads: others, people: { seq: 1, hash: head.hash } })).map(
          ({ message }) => message,
        ),
      ).toEqual([
        'entries 4 to 5 are gone from the end of tarn-lane, by the head that was kept of it',
        'entry 2 of tarn-lane is another than the head that was kept of it',
        'entries 1 to 2 are gone from the end of east, by the head that was kept of it',
        'entry 1 is gone from the end of the record of people, by the head that was kept of it',
      ]);
    });

    test('takes a map entry once its map is here; from another copy also an old one without', async () => {
      const map = Buffer.from('{"type": "FeatureCollection"}');
      const entry = madeEntry(1, { kind: 'map', body: { sha256: sha256(map) } });
      const missing = { code: 'map-missing', severity: 'error', id: idOf(1), field: 'body.sha256' };
      expect((await store.add(entry)).problems).toMatchObject([missing]);
      const [sealed] = chainOf([entry]);
      expect('account' in sealed).toBe(true);
      expect((await store.takeOver([sealed])).problems).toMatchObject([missing]);
      const { account: _, ...unsealed } = {
        ...entry,
        seq: 1,
        received: '2026-05-30T20:05:01.000Z',
        previous: null,
        account: null,
      };
      const old = { ...unsealed, hash: sha256(Buffer.from(canonicalText(unsealed))) };
      expect((await store.takeOver([old])).accepted).toEqual({ added: 1, present: 0 });
      expect(await store.verify()).toMatchObject({ ok: true, maps: 1, problems: [{ code: 'map-not-kept' }] });
      store.maps.save(map);
      await add(madeEntry(2, { kind: 'map', body: { sha256: sha256(map) } }));
      expect(await store.verify()).toMatchObject({ ok: true, maps: 1, problems: [] });
      writeFileSync(join(place.folder, 'maps', sha256(map)), 'other bytes');
      expect((await store.verify()).problems).toMatchObject([{ code: 'map-changed', id: idOf(2) }]);
      rmSync(join(place.folder, 'maps', sha256(map)));
      expect((await store.verify()).problems).toMatchObject([{ code: 'map-missing', id: idOf(2) }]);
    });

    test('keeps photos under the hash of their bytes, once, and refuses an entry whose photo is not there', async () => {
      const photo = madePhoto(1);
      const name = store.photos.save(photo);
      expect(name).toBe(sha256(photo));
      expect(store.photos.save(photo)).toBe(name);
      expect(readdirSync(join(place.folder, 'photos'))).toEqual([name]);
      expect(store.photos.read(name)).toEqual(photo);
      for (const other of ['../log.sqlite', 'x', sha256(Buffer.from('y'))]) expect(store.photos.read(other)).toBeNull();
      await add(madeEntry(1, { photos: [name] }));
      const none = sha256(Buffer.from('never sent'));
      expect((await store.add(madeEntry(2, { photos: [name, none] }))).problems).toMatchObject([
        { code: 'photo-missing', field: 'photos[1]', id: idOf(2) },
      ]);
      expect(await store.verify()).toMatchObject({ ok: true, entries: 1, photos: 1 });
    });

    test('a photo changed or lost on the disk is named by verify, and mended when it is sent again', async () => {
      const [one, two] = [store.photos.save(madePhoto(1)), store.photos.save(madePhoto(2))];
      await add(madeEntry(1, { photos: [one, two] }));
      writeFileSync(join(place.folder, 'photos', one), 'other bytes');
      rmSync(join(place.folder, 'photos', two));
      const { ok, problems } = await store.verify();
      expect(ok).toBe(false);
      expect(problems.map(({ code, id }) => [code, id])).toEqual([
        ['photo-changed', idOf(1)],
        ['photo-missing', idOf(1)],
      ]);
      store.photos.save(madePhoto(1));
      store.photos.save(madePhoto(2));
      expect((await store.verify()).ok).toBe(true);
    });

    test('the database itself refuses to change or take out an entry', async () => {
      for (const n of [1, 2]) await add(madeEntry(n));
      const [text] = await textsOf(store);
      const refused = [
        `update entries set entry = '{}' where seq = 1`,
        'update entries set seq = 7 where seq = 2',
        'delete from entries',
        'delete from heads',
        `update heads set hash = 'x'`,
        'update heads set seq = 1',
        ...(kind === sqlite
          ? [`insert or replace into entries (id, site, seq, entry) values ('${idOf(1)}', 'tarn-lane', 1, '{}')`]
          : ['truncate entries', 'truncate entries, heads']),
      ];
      for (const sql of refused)
        await expect(kind.tamper(place, sql), sql).rejects.toThrow(/never changed|moves on by one/);
      expect((await textsOf(store))[0]).toBe(text);
      expect((await store.verify()).ok).toBe(true);
    });

    test('whoever gets past that is found by verify, with the entry named', async () => {
      const texts: string[] = [];
      for (let n = 1; n <= 4; n++) await add(madeEntry(n));
      texts.push(...(await textsOf(store)));
      const quoted = (text: string) => `'${text.replaceAll("'", "''")}'`;
      const set = (seq: number, text: string) => `update entries set entry = ${quoted(text)} where seq = ${seq}`;
      const cases: [sql: string, undo: string, named: string | null][] = [
        [set(2, texts[1].replace('visit 2', 'visit 3')), set(2, texts[1]), idOf(2)],
        [set(2, `${texts[1]} `), set(2, texts[1]), idOf(2)],
        [set(4, texts[3].replace('"seq":4', '"seq":5')), set(4, texts[3]), idOf(4)],
        ['update entries set seq = 40 where seq = 4', 'update entries set seq = 4 where seq = 40', idOf(4)],
        [
          'delete from entries where seq = 4',
          `insert into entries (id, site, seq, entry) values ('${idOf(4)}', 'tarn-lane', 4, ${quoted(texts[3])})`,
          null,
        ],
        [
          'delete from entries where seq = 2',
          `insert into entries (id, site, seq, entry) values ('${idOf(2)}', 'tarn-lane', 2, ${quoted(texts[1])})`,
          idOf(3),
        ],
        [`update heads set hash = 'x'`, `update heads set hash = ${quoted(JSON.parse(texts[3]).hash)}`, null],
      ];
      for (const [sql, undo, named] of cases) {
        await kind.tamper(place, sql, 'loosely');
        const { ok, problems } = await store.verify();
        expect(ok, sql).toBe(false);
        expect(problems[0], sql).toMatchObject({ code: 'chain-broken', id: named });
        await kind.tamper(place, undo, 'loosely');
        expect((await store.verify()).problems, undo).toEqual([]);
      }
    });

    test('takes over another copy of the book: whole, in parts, twice; and never one that went another way', async () => {
      const chain = chainOf([1, 2, 3, 4, 5].map((n) => madeEntry(n)));
      const take = async (entries: SealedEntry[]) => (await store.takeOver(entries)).accepted;
      expect(await take(chain.slice(0, 2))).toEqual({ added: 2, present: 0 });
      expect(await take(chain)).toEqual({ added: 3, present: 2 });
      expect(await take(chain)).toEqual({ added: 0, present: 5 });
      expect(await textsOf(store)).toEqual(chain.map(canonicalText));
      const onward = chainOf([...[1, 2, 3, 4, 5].map((n) => madeEntry(n)), madeEntry(7), madeEntry(8)]);
      expect((await store.takeOver(onward.slice(6))).problems).toMatchObject([{ code: 'entry-conflict', id: idOf(8) }]);
      await add(madeEntry(6));
      const before = await textsOf(store);
      expect((await store.takeOver(onward)).problems).toMatchObject([{ code: 'entry-conflict', id: idOf(7) }]);
      expect(await textsOf(store)).toEqual(before);
      const twice = chainOf([madeEntry(9, { site: 'west-yard' }), madeEntry(9, { site: 'west-yard', by: 'M. Lund' })]);
      expect((await store.takeOver(twice)).problems).toMatchObject([{ code: 'entry-conflict', id: idOf(9) }]);
      expect((await store.verify()).ok).toBe(true);
    });

    test('a book of more than one page comes out whole and in order', async () => {
      const chain = chainOf(Array.from({ length: 620 }, (_, n) => madeEntry(n + 1)));
      expect((await store.takeOver(chain)).accepted).toEqual({ added: 620, present: 0 });
      expect((await entriesOf(store)).map(({ seq }) => seq)).toEqual(chain.map(({ seq }) => seq));
      expect(await entriesOf(store, { after: 499, limit: 102 })).toHaveLength(102);
      expect(await store.verify()).toMatchObject({ ok: true, entries: 620 });
    });
  });
});

describe('where the world does not let it', () => {
  const made: string[] = [];
  const place = () => {
    const path = folder();
    made.push(path);
    return path;
  };
  afterAll(() => made.forEach(remove));
  const filled = async (count: number) => {
    const path = place();
    const store = await openLogStore({ folder: path });
    for (let n = 1; n <= count; n++) await store.add(madeEntry(n, { body: { note: 'x'.repeat(500) } }));
    await store.close();
    return path;
  };
  const fault = async (work: Promise<unknown>) =>
    work.then(
      () => 'no fault',
      (error) => error.problem?.code ?? error,
    );

  test('a folder without a book is not taken for an empty one by who only reads', async () => {
    const path = place();
    expect(await fault(openLogStore({ folder: path, mustExist: true }))).toBe('no-log-book');
    expect(readdirSync(path)).toEqual([]);
  });

  test('a cut or overwritten file is never taken for a book, and stays as it is', async () => {
    for (const cut of [0, 1, 100, 4096, 5000, 8192, 9000]) {
      const path = await filled(30);
      const file = join(path, 'log.sqlite');
      const bytes = readFileSync(file).subarray(0, cut);
      writeFileSync(file, bytes);
      const code = await fault(
        openLogStore({ folder: path, mustExist: true, patienceMs: 100 }).then(async (store) => {
          const { ok, problems } = await store.verify().finally(() => store.close());
          throw ok ? new Error('it says ok') : { problem: problems[0] };
        }),
      );
      expect(code, String(cut)).toBe('log-damaged');
    }
    const path = await filled(3);
    writeFileSync(join(path, 'log.sqlite'), 'this is no database at all '.repeat(400));
    expect(await fault(openLogStore({ folder: path }))).toBe('log-damaged');
    expect(readFileSync(join(path, 'log.sqlite'), 'utf8')).toContain('no database at all');
  });

  test('a book that another program holds is waited for, and then said to be busy', async () => {
    const path = await filled(1);
    const holder = new DatabaseSync(join(path, 'log.sqlite'));
    holder.exec('begin immediate');
    const store = await openLogStore({ folder: path, patienceMs: 150 });
    expect(await fault(store.add(madeEntry(2)))).toBe('log-busy');
    const waiting = store.add(madeEntry(3));
    holder.exec('rollback');
    holder.close();
    expect((await waiting).accepted?.seq).toBe(2);
    await store.close();
  });

  test('a folder that is a file, or stands in one, is named as such', async () => {
    const file = join(place(), 'a-file');
    writeFileSync(file, '');
    expect(await fault(openLogStore({ folder: file }))).toBe('log-unwritable');
    expect(await fault(openLogStore({ folder: join(file, 'inside') }))).toBe('log-unwritable');
  });

  test.skipIf(process.platform === 'win32')(
    'a folder that may not be written is named as such, and a book in it stays',
    async () => {
      const path = await filled(1);
      const bytes = readFileSync(join(path, 'log.sqlite'));
      // Root may write anywhere, so that another user has to try.
      const nobody = process.getuid?.() === 0 ? 65534 : undefined;
      for (const name of readdirSync(path)) chmodSync(join(path, name), 0o444);
      chmodSync(path, 0o555);
      const entry = join(place(), 'entry.json');
      writeFileSync(entry, JSON.stringify(madeEntry(2)));
      chmodSync(dirname(entry), 0o755);
      const cli = join(process.cwd(), 'dist', 'cli', 'oilshed.js');
      const { status, stdout, stderr } = spawnSync(process.execPath, [cli, 'log', 'add', entry, '--data', path], {
        encoding: 'utf8',
        env: { PATH: process.env.PATH, OILSHED_PROGRESS: 'no' },
        cwd: '/',
        uid: nobody,
      });
      chmodSync(path, 0o755);
      expect([status, stdout]).toEqual([1, '']);
      expect(stderr).toMatch(/^\S+: log\.sqlite may not be written \(.*\); ask for the right to write there.*\n$/);
      expect(readFileSync(join(path, 'log.sqlite'))).toEqual(bytes);
    },
  );

  test('a database that does not answer is named as such', async () => {
    const open = openLogStore({ folder: place(), databaseUrl: 'postgres://app@127.0.0.1:1/none', patienceMs: 100 });
    expect(await fault(open)).toBe('log-unwritable');
  });

  test('a photo that cannot be written leaves nothing half done', async () => {
    const path = place();
    const store = await openLogStore({ folder: path });
    writeFileSync(join(path, 'photos'), '');
    expect(() => store.photos.save(madePhoto(1))).toThrow(/file, not a folder/);
    rmSync(join(path, 'photos'));
    store.photos.save(madePhoto(1));
    expect(readdirSync(join(path, 'photos')).filter((name) => name.endsWith('.part'))).toEqual([]);
    expect(existsSync(join(path, 'photos', sha256(madePhoto(1))))).toBe(true);
    await store.close();
  });
});
