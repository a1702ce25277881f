import { spawnSync } from 'node:child_process';
import {
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  truncateSync,
  utimesSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import pg from 'pg';
import { afterAll, afterEach, beforeEach, describe, expect, test } from 'vitest';
import { startPostgres } from '../../.scripts/postgres.ts';
import { seededRandom } from '../../src/algorithms/index.ts';
import { sayProblem } from '../../src/site-map/index.ts';
import { entryOf, type LogStore, openLogStore, StoreFault } from '../../src/store/index.ts';
import { idOf, madeEntry, madePhoto, sha256, siteOf } from '../log-book/made.ts';
import { ENGLISH } from '../support/english.ts';

const folder = mkdtempSync(join(tmpdir(), 'oilshed-faults-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));
const here = (name: string) => join(folder, name);

/** The problem that stopped some work, in English; anything but a StoreFault fails the test. */
async function faultOf(work: () => unknown) {
  try {
    await work();
  } catch (error) {
    if (error instanceof StoreFault) return sayProblem(error.problem, ENGLISH);
    throw error;
  }
  return null;
}

async function idsIn(store: LogStore): Promise<string[]> {
  const ids: string[] = [];
  for await (const page of store.pages()) ids.push(...page.map(({ id }) => id));
  return ids;
}

describe('a full disk', () => {
  const disk = here('disk');
  mkdirSync(disk);
  const run = (command: string, ...words: string[]) => spawnSync(command, words).status === 0;
  const mount = () => process.platform === 'linux' && run('mount', '-t', 'tmpfs', '-o', 'size=1m', 'oilshed', disk);
  const unmount = () => run('umount', '--lazy', disk);
  const canMount = mount() && unmount();
  if (!canMount) console.warn('A full disk is not tried: it takes a Linux that lets us mount a small one (as root).');
  beforeEach(() => void mount());
  afterEach(() => void unmount());

  test.skipIf(!canMount)(
    'refuses entries and photos in words, keeps all it took, and goes on once there is room',
    async () => {
      const store = await openLogStore({ folder: disk });
      const note = 'x'.repeat(2000);
      const entry = (n: number) => madeEntry(n, { body: { note } });
      const kept = store.photos.save(madePhoto(1));
      await store.add(madeEntry(1, { photos: [kept] }));
      let last = 1;
      const full = await faultOf(async () => {
        for (;;) {
          await store.add(entry(last + 1));
          last++;
        }
      });
      expect(full).toMatchObject({
        code: 'log-unwritable',
        message: expect.stringMatching(/^log\.sqlite may not be written \(.*full/),
      });
      expect(full?.cure).toContain('make room');
      expect(last).toBeGreaterThan(20);

      const files = readdirSync(join(disk, 'photos'));
      const large = madePhoto(2, 400_000);
      expect(await faultOf(() => store.photos.save(large))).toMatchObject({
        code: 'log-unwritable',
        message: 'the disk is full',
      });
      expect(readdirSync(join(disk, 'photos'))).toEqual(files);

      const taken = Array.from({ length: last }, (_, n) => idOf(n + 1));
      expect(await idsIn(store)).toEqual(taken);
      expect(await store.verify()).toMatchObject({ ok: true, entries: last, photos: 1 });
      // Another program that opens it meanwhile finds the same, or says that it cannot.
      const other = await faultOf(async () => {
        const second = await openLogStore({ folder: disk, patienceMs: 100 });
        expect(await idsIn(second).finally(() => second.close())).toEqual(taken);
      });
      expect(other?.code ?? 'log-unwritable').toBe('log-unwritable');

      expect(run('mount', '-o', 'remount,size=8m', disk)).toBe(true);
      expect((await store.add(entry(last + 1))).accepted?.seq).toBe(last + 1);
      expect(store.photos.save(large)).toBe(sha256(large));
      await store.close();
      // The heads beside the book lagged behind while there was no room, which refused nothing and says nothing wrong.
      expect(readFileSync(join(disk, 'log.heads'), 'utf8')).toContain(`"seq":${last + 1},`);
      expect(readdirSync(disk).filter((name) => name.endsWith('.part'))).toEqual([]);
      const again = await openLogStore({ folder: disk });
      expect(await idsIn(again)).toEqual([...taken, idOf(last + 1)]);
      expect(await again.verify()).toMatchObject({ ok: true, problems: [] });
      await again.close();
    },
    60_000,
  );
});

describe('a file that was cut or overwritten', () => {
  const COUNT = 150;
  let books = 0;
  let original: Buffer | undefined;
  /** A book of its own with this many entries, all of it in its one file. */
  async function book(): Promise<string> {
    const path = here(`cut-${++books}`);
    mkdirSync(path);
    if (!original) {
      const store = await openLogStore({ folder: path });
      for (let n = 1; n <= COUNT; n++)
        await store.add(madeEntry(n, { site: n % 3 ? 'tarn-lane' : 'west-yard', body: { note: 'x'.repeat(700) } }));
      await store.close();
      original = readFileSync(join(path, 'log.sqlite'));
    } else writeFileSync(join(path, 'log.sqlite'), original);
    return path;
  }
  /** What opening, listing and verifying say, each on its own. */
  async function looks(path: string) {
    const look = async (work: (store: LogStore) => Promise<unknown>) => {
      let found: unknown;
      const fault = await faultOf(async () => {
        const store = await openLogStore({ folder: path, mustExist: true, patienceMs: 50 });
        found = await work(store).finally(() => store.close());
      });
      return fault ?? found;
    };
    return { listed: await look(idsIn), verified: await look((store) => store.verify()) };
  }

  test('at any length is said to be damaged, and never has fewer entries without a word', {
    timeout: 120_000,
  }, async () => {
    const { length } = await book().then((path) => readFileSync(join(path, 'log.sqlite')));
    const random = seededRandom(11);
    const cuts = Array.from({ length: 40 }, () => Math.floor(random.uniform() * length));
    for (const cut of [...cuts, length - 1, length - 4096]) {
      const path = await book();
      truncateSync(join(path, 'log.sqlite'), cut);
      const { listed, verified } = await looks(path);
      if (Array.isArray(listed)) expect(listed, `cut at ${cut}`).toHaveLength(COUNT);
      else expect(listed, `cut at ${cut}`).toMatchObject({ code: 'log-damaged' });
      if ('ok' in (verified as object)) expect(verified, `cut at ${cut}`).toMatchObject({ ok: false });
      else expect(verified, `cut at ${cut}`).toMatchObject({ code: 'log-damaged' });
    }
  });

  test('with a stretch of zeros or noise in it never verifies with less than it had', {
    timeout: 120_000,
  }, async () => {
    const random = seededRandom(13);
    for (let round = 0; round < 40; round++) {
      const path = await book();
      const bytes = readFileSync(join(path, 'log.sqlite'));
      const at = Math.floor(random.uniform() * bytes.length);
      const end = Math.min(bytes.length, at + 1 + Math.floor(random.uniform() * 3000));
      for (let place = at; place < end; place++) bytes[place] = round % 2 ? Math.floor(random.uniform() * 256) : 0;
      writeFileSync(join(path, 'log.sqlite'), bytes);
      const { verified } = await looks(path);
      if ('code' in (verified as object)) expect(verified, `${at} to ${end}`).toMatchObject({ code: 'log-damaged' });
      // Some bytes of the file are in no use.
      else if ((verified as { ok: boolean }).ok) expect(verified, `${at} to ${end}`).toMatchObject({ entries: COUNT });
    }
  });

  test('an entry that is gone from the middle stops a list with words', async () => {
    const { DatabaseSync } = await import('@photostructure/sqlite');
    const path = await book();
    const db = new DatabaseSync(join(path, 'log.sqlite'));
    db.exec(`drop trigger entries_delete; delete from entries where site = 'tarn-lane' and seq = 40`);
    db.close();
    const { listed, verified } = await looks(path);
    expect(listed).toMatchObject({
      code: 'log-damaged',
      message: 'entries are missing from tarn-lane, of 1 to 100',
      cure: expect.stringContaining('oilshed log verify'),
    });
    expect(verified).toMatchObject({ ok: false, entries: COUNT - 1 });
    const store = await openLogStore({ folder: path });
    for await (const page of store.pages({ site: 'west-yard' })) expect(page).toHaveLength(50);
    await store.close();
  });

  test('a text that was cut is said with the number of its entry', async () => {
    const stored = { id: idOf(7), site: siteOf('tarn-lane'), seq: 7, text: '{"at":"2026-05-' };
    expect(await faultOf(() => entryOf(stored))).toMatchObject({
      code: 'log-damaged',
      message: 'the text of entry 7 of tarn-lane cannot be read any more',
    });
  });
});

describe('what killed programs left', () => {
  test('half-written photos go an hour after they were last written to, by the clock that is handed in; no other file does', async () => {
    const photos = join(here('parts'), 'photos');
    mkdirSync(photos, { recursive: true });
    const noon = Date.parse('2026-05-30T12:00:00Z');
    const minutesOld = { '.a.part': 61, '.b.part': 59, '.c.part': -30, 'd.part': 600, '.e': 600 };
    for (const [name, minutes] of Object.entries(minutesOld)) {
      const time = (noon - minutes * 60_000) / 1000;
      writeFileSync(join(photos, name), 'half');
      utimesSync(join(photos, name), time, time);
    }
    const open = async (now: string) => (await openLogStore({ folder: here('parts'), now: () => now })).close();
    await open('2026-05-30T12:00:00.000Z');
    expect(readdirSync(photos).sort()).toEqual(['.b.part', '.c.part', '.e', 'd.part']);
    await open('2026-05-30T12:02:00.000Z');
    expect(readdirSync(photos).sort()).toEqual(['.c.part', '.e', 'd.part']);
  });
});

test('the same entry sent by eight programs at the same moment is stored once', async () => {
  const stores = await Promise.all(
    Array.from({ length: 8 }, () => openLogStore({ folder: here('eight'), patienceMs: 10_000 })),
  );
  const answers = await Promise.all(stores.map((store) => store.add(madeEntry(1))));
  expect(answers.map(({ accepted }) => [accepted?.seq, accepted?.hash])).toEqual(
    answers.map(() => [1, answers[0].accepted?.hash]),
  );
  expect(answers.filter(({ accepted }) => accepted?.isNew)).toHaveLength(1);
  expect(await stores[0].verify()).toMatchObject({ ok: true, entries: 1 });
  for (const store of stores) await store.close();
});

const postgres = await startPostgres().catch((error: Error) => {
  console.warn(error.message);
  return null;
});
afterAll(() => postgres?.stop());

describe.skipIf(postgres === null)('a PostgreSQL that goes away', () => {
  test('is said in words, and once it is back the book goes on where it was', async () => {
    const store = await openLogStore({ folder: here('pg'), databaseUrl: postgres?.url, patienceMs: 200 });
    expect((await store.add(madeEntry(1))).accepted?.seq).toBe(1);
    postgres?.crash();
    // Connections that broke meanwhile are found out one by one.
    for (let n = 2; n < 12; n++) {
      const fault = await faultOf(() => store.add(madeEntry(2)));
      if (fault === null) break;
      expect(fault).toMatchObject({ code: 'log-unwritable', cure: 'start it, or mend DATABASE_URL' });
    }
    const client = new pg.Client(postgres?.url);
    await client.connect();
    const end = () =>
      client.query(
        'select pg_terminate_backend(pid) from pg_stat_activity where pid <> pg_backend_pid() and usename is not null',
      );
    // Its connections are cut while entries are on their way.
    const entries = Array.from({ length: 30 }, (_, n) => madeEntry(n + 3));
    const sent = Promise.all(entries.map((entry) => faultOf(() => store.add(entry))));
    for (let cut = 0; cut < 5; cut++) await end();
    for (const fault of await sent) expect(fault?.code ?? 'log-unwritable').toBe('log-unwritable');
    await client.end();
    for (const entry of [madeEntry(2), ...entries])
      expect((await store.add(entry).catch(() => store.add(entry))).accepted?.id).toBe(entry.id);
    expect(await store.verify()).toMatchObject({ ok: true, entries: 32 });
    await store.close();
  }, 60_000);
});
