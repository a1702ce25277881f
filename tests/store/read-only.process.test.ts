import { spawn, spawnSync } from 'node:child_process';
import { once } from 'node:events';
import {
  chmodSync,
  cpSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  truncateSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { afterAll, describe, expect, test } from 'vitest';
import { type LogBook, openLogStore } from '../../src/store/index.ts';
import { madeEntry, madePhoto } from '../log-book/made.ts';
import { buildWriter } from './kills.ts';

const folder = mkdtempSync(join(tmpdir(), 'oilshed-read-only-'));
chmodSync(folder, 0o755);
afterAll(() => rmSync(folder, { recursive: true, force: true }));
const here = (name: string) => join(folder, name);

/** Root may write anywhere, so that another user has to try. */
const nobody = process.getuid?.() === 0 ? 65534 : undefined;
/** Where nobody may write: what a program copies aside stands there, and what it exports. */
const own = (name: string) => {
  const path = here(name);
  mkdirSync(path, { recursive: true });
  chmodSync(path, 0o777);
  return path;
};

function asReader(...words: string[]) {
  const temporary = own('temporary');
  const { status, stdout, stderr } = spawnSync(
    process.execPath,
    [join(process.cwd(), 'dist', 'cli', 'oilshed.js'), 'log', ...words],
    {
      encoding: 'utf8',
      env: { PATH: process.env.PATH, TMPDIR: temporary, NO_COLOR: '1', OILSHED_PROGRESS: 'no' },
      cwd: '/',
      uid: nobody,
    },
  );
  return { status, stdout, stderr, left: readdirSync(temporary) };
}

const done = { status: 0, stderr: '', left: [] };

/** A copy of an open book that has three entries, the last two in its write-ahead log alone; nobody may write in it. */
async function readOnlyCopy(name: string): Promise<string> {
  const store = await openLogStore({ folder: here('open') });
  if ((await store.heads()).length === 0) {
    const map = store.maps.save(readFileSync('site-maps/freight-depot.geojson'));
    await store.add(madeEntry(1, { kind: 'map', body: { sha256: map } }));
    await store.close();
    return readOnlyCopy(name);
  }
  const photos = [store.photos.save(madePhoto(1))];
  for (const n of [2, 3]) await store.add(madeEntry(n, { photos }));
  // The heads follow a little later, while the write-ahead log is not put into the database yet.
  const heads = () => readFileSync(join(here('open'), 'log.heads'), 'utf8');
  await expect.poll(heads, { timeout: 20_000 }).toContain('"seq":3,');
  const path = here(name);
  cpSync(here('open'), path, { recursive: true });
  await store.close();
  rmSync(join(path, 'log.sqlite-shm'), { force: true });
  for (const each of readdirSync(path, { recursive: true, encoding: 'utf8' })) chmodSync(join(path, each), 0o555);
  chmodSync(path, 0o555);
  return path;
}

describe.skipIf(process.platform === 'win32')('a book that may only be read', () => {
  test('is verified, listed, exported and backed up whole, also what only its write-ahead log has, and stays as it is', async () => {
    const path = await readOnlyCopy('copy');
    const bytes = () =>
      readdirSync(path).map((each) => [each, each.includes('.') && readFileSync(join(path, each), 'hex')]);
    const before = bytes();
    expect(before.map(([each]) => each)).toEqual(['log.heads', 'log.sqlite', 'log.sqlite-wal', 'maps', 'photos']);
    const verified = asReader('verify', '--data', path, '--json');
    expect(verified).toMatchObject(done);
    expect(JSON.parse(verified.stdout)).toMatchObject({ ok: true, entries: 3, photos: 1, maps: 1, problems: [] });
    const listed = asReader('list', '--data', path, '--json');
    expect(listed).toMatchObject(done);
    expect(JSON.parse(listed.stdout).entries).toHaveLength(3);
    const out = own('out');
    expect(asReader('export', '--data', path, '--out', join(out, 'book.zip'), '--json')).toMatchObject(done);
    expect(asReader('heads', '--data', path, '--out', join(out, 'book.heads'))).toMatchObject(done);
    expect(asReader('backup', '--data', path, '--out', join(out, 'copy'))).toMatchObject(done);
    expect(bytes()).toEqual(before);
    for (const words of [
      ['import', join(out, 'book.zip')],
      ['verify', '--heads', join(out, 'book.heads')],
    ]) {
      expect(asReader(...words, '--data', join(out, 'copy'))).toMatchObject(done);
    }
    expect(JSON.parse(asReader('list', '--data', join(out, 'copy'), '--json').stdout)).toEqual(
      JSON.parse(listed.stdout),
    );
  });

  test('that is damaged, or whose entries cannot be read, is told so, and no copy of it is left', async () => {
    const path = await readOnlyCopy('damaged');
    const file = join(path, 'log.sqlite');
    chmodSync(file, 0o755);
    truncateSync(file, 3000);
    chmodSync(file, 0o555);
    for (const verb of ['verify', 'list']) {
      const { status, stderr, left } = asReader(verb, '--data', path);
      expect([status, left]).toEqual([1, []]);
      expect(stderr).toMatch(/^\S+: log\.sqlite is damaged .*\n$/);
    }
    chmodSync(file, 0o300);
    const { status, stderr, left } = asReader('list', '--data', path);
    expect([status, left]).toEqual([1, []]);
    expect(stderr).toMatch(/^\S+: \S+log\.sqlite may not be read; ask for the right to read it\n$/);
  });

  test('takes nothing in, and says so', async () => {
    const path = await readOnlyCopy('refusing');
    const entry = join(own('out'), 'entry.json');
    writeFileSync(entry, JSON.stringify(madeEntry(9)));
    const { status, stderr } = asReader('add', entry, '--data', path);
    expect([status, stderr.split('\n').length]).toEqual([1, 2]);
    expect(stderr).toContain('may not be written');
  });

  test('is read whole while others write in it', { timeout: 60_000 }, async () => {
    const path = here('busy');
    mkdirSync(path);
    const writer = await buildWriter();
    const child = spawn(process.execPath, [writer.file, path, '0'], { stdio: ['ignore', 'pipe', 'inherit'] });
    let said = '';
    child.stdout.setEncoding('utf8').on('data', (part: string) => {
      said += part;
    });
    const acknowledged = () => said.split('\n').length - 1;
    try {
      for (const round of [1, 2, 3, 4]) {
        const until = Date.now() + 15_000;
        while (acknowledged() < 100 * round && Date.now() < until) await sleep(10);
        const before = acknowledged();
        const { status, stdout, left } = await asReaderMeanwhile('verify', '--data', path, '--json');
        expect([status, left]).toEqual([0, []]);
        expect(JSON.parse(stdout)).toMatchObject({ ok: true });
        expect(JSON.parse(stdout).entries).toBeGreaterThanOrEqual(before);
      }
    } finally {
      const closed = once(child, 'close');
      child.kill('SIGKILL');
      await closed;
      writer.remove();
    }
  });

  test('is not what a book is taken for that may be written: that is opened where it lies', async () => {
    const open = (path: string) => openLogStore({ folder: path, purpose: 'read' });
    const writable: LogBook = await open(here('open'));
    expect(writable.databaseFolder).toBe(here('open'));
    await writable.close();
  });
});

/** As `asReader`, while what this program is told by others goes on coming in. */
async function asReaderMeanwhile(...words: string[]) {
  const temporary = own('temporary');
  const child = spawn(process.execPath, [join(process.cwd(), 'dist', 'cli', 'oilshed.js'), 'log', ...words], {
    env: { PATH: process.env.PATH, TMPDIR: temporary, NO_COLOR: '1', OILSHED_PROGRESS: 'no' },
    cwd: '/',
    uid: nobody,
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  let stdout = '';
  child.stdout.setEncoding('utf8').on('data', (part: string) => {
    stdout += part;
  });
  const [status] = await once(child, 'close');
  return { status, stdout, left: readdirSync(temporary) };
}
