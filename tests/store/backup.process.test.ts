import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { existsSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { afterAll, expect, test } from 'vitest';
import { backUp, openLogStore } from '../../src/store/index.ts';
import { idOf, madeEntry, madePhoto, sha256 } from '../log-book/made.ts';
import { runVerb } from '../support/cli.ts';
import { buildWriter } from './kills.ts';

const folder = mkdtempSync(join(tmpdir(), 'oilshed-backup-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));
const here = (name: string) => join(folder, name);

async function bookWith(name: string, count: number): Promise<string> {
  const store = await openLogStore({ folder: here(name) });
  for (let n = 1; n <= count; n++)
    await store.add(madeEntry(n, { photos: n === 1 ? [store.photos.save(madePhoto(1))] : [] }));
  await store.close();
  return here(name);
}

const run = (words: readonly string[], env: NodeJS.ProcessEnv = {}) => runVerb(['log', ...words], { cwd: folder, env });

test('a copy taken while another program writes is whole, and has all that was acknowledged before', async () => {
  const writer = await buildWriter();
  const child = spawn(process.execPath, [writer.file, here('busy'), '0'], { stdio: ['ignore', 'pipe', 'inherit'] });
  let said = '';
  child.stdout.setEncoding('utf8').on('data', (part: string) => {
    said += part;
  });
  const acknowledged = () => said.split('\n').slice(0, -1);
  try {
    for (const round of [1, 2, 3]) {
      const until = Date.now() + 20_000;
      while (acknowledged().length < 60 * round && Date.now() < until) await sleep(10);
      const before = acknowledged();
      expect(await backUp({ folder: here('busy'), to: here(`copy-${round}`) })).toEqual([]);
      const during = before.length;
      while (acknowledged().length === during && Date.now() < until) await sleep(10);
      expect(acknowledged().length).toBeGreaterThan(during);
      const copy = await openLogStore({ folder: here(`copy-${round}`), mustExist: true });
      const ids = new Set<string>();
      for await (const page of copy.pages()) for (const { id } of page) ids.add(id);
      expect(await copy.verify()).toMatchObject({ ok: true, entries: ids.size });
      await copy.close();
      for (const line of before) expect(ids.has(idOf(Number(line.split(' ')[0]))), line).toBe(true);
    }
  } finally {
    const closed = once(child, 'close');
    child.kill('SIGKILL');
    await closed;
    writer.remove();
  }
}, 90_000);

test('oilshed log backup says the head of what it verified; the copy is a book that goes its own way', async () => {
  await bookWith('book', 3);
  mkdirSync(here('book/maps'));
  const map = Buffer.from('{"type": "FeatureCollection"}');
  writeFileSync(here(`book/maps/${sha256(map)}`), map);
  const { status, stdout, lines } = await run(['backup', '--out', 'monday', '--data', 'book']);
  expect([status, lines]).toEqual([0, []]);
  expect(stdout).toMatch(
    /^3 entries, 1 photo, 0 maps, 0 events of people: all as they were accepted\.\ntarn-lane: entry 3, hash [0-9a-f]{64}\n$/,
  );
  expect(readFileSync(here(`monday/maps/${sha256(map)}`))).toEqual(map);
  expect(readdirSync(here('monday')).filter((name) => name.includes('part'))).toEqual([]);
  const listed = async (data: string) => JSON.parse((await run(['list', '--json', '--data', data])).stdout);
  expect(await listed('monday')).toEqual(await listed('book'));
  writeFileSync(here('entry.json'), JSON.stringify(madeEntry(4)));
  expect((await run(['add', 'entry.json', '--data', 'monday'])).status).toBe(0);
  expect(JSON.parse((await run(['verify', '--json', '--data', 'book'])).stdout)).toMatchObject({
    ok: true,
    entries: 3,
  });
  expect(await run(['backup', '--out', 'monday', '--data', 'book'])).toMatchObject({
    status: 1,
    stdout: '',
    lines: ['monday: there is a log book in this folder already; name a new folder with --out'],
  });
  expect((await run(['backup', '--out', 'book', '--data', 'book'])).status).toBe(1);
  expect((await run(['backup', '--data', 'book'])).status).toBe(2);
});

test('what cannot be copied is said in one line, and leaves no half copy', async () => {
  await bookWith('whole', 2);
  expect(await run(['backup', '--out', 'new', '--data', 'none'])).toMatchObject({
    status: 1,
    lines: ['none: there is no log book in this folder; name its folder with --data, or add a first entry'],
  });
  expect(existsSync(here('new'))).toBe(false);
  writeFileSync(here('a-file'), '');
  expect((await run(['backup', '--out', 'a-file', '--data', 'whole'])).lines).toEqual([
    expect.stringMatching(/^a-file: it is a file, not a folder; /),
  ]);
  const url = 'postgres://app@127.0.0.1:1/none';
  expect(await run(['backup', '--out', 'new', '--data', 'whole'], { DATABASE_URL: url })).toMatchObject({
    status: 1,
    stdout: '',
    lines: [
      expect.stringMatching(/^DATABASE_URL: the log book is in PostgreSQL; back .* pg_dump, .* oilshed log export$/),
    ],
  });
});

test('a photo that was changed is left out and said, and the rest is copied', async () => {
  const book = await bookWith('changed', 2);
  const [name] = readdirSync(join(book, 'photos'));
  writeFileSync(join(book, 'photos', name), 'other bytes');
  const { status, stdout, lines } = await run(['backup', '--out', 'left', '--data', 'changed', '--json']);
  expect(status).toBe(1);
  expect(lines).toEqual([
    expect.stringContaining(`${name} was changed, it is left out; restore it from an export`),
    expect.stringContaining(`the photo ${name} is gone`),
  ]);
  expect(JSON.parse(stdout)).toMatchObject({ ok: false, entries: 2, problems: [{ code: 'photo-changed' }, {}] });
});
