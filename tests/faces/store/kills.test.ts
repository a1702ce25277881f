import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { openLogStore } from '../../../src/faces/store/index.ts';
import { buildWriter, killWriters } from './kills.ts';

let writer: Awaited<ReturnType<typeof buildWriter>>;
beforeAll(async () => {
  writer = await buildWriter();
});
afterAll(() => writer.remove());

test('nothing that was acknowledged is lost when the writer is killed, 30 times over', async () => {
  const { acknowledged, lost, entries, ok } = await killWriters({ count: 30, seed: 5, writer: writer.file });
  expect(acknowledged).toBeGreaterThan(100);
  expect({ lost, ok }).toEqual({ lost: 0, ok: true });
  expect(entries - acknowledged).toBeGreaterThanOrEqual(0);
  expect(entries - acknowledged).toBeLessThanOrEqual(30);
}, 120_000);

test('two programs that write into one book at once share out the numbers', async () => {
  const folder = mkdtempSync(join(tmpdir(), 'oilshed-two-'));
  const children = [1, 2].map((n) =>
    spawn(process.execPath, [writer.file, folder, String(n * 100_000)], { stdio: ['ignore', 'pipe', 'inherit'] }),
  );
  const said = ['', ''];
  children.forEach((child, at) => {
    child.stdout.setEncoding('utf8').on('data', (part) => {
      said[at] += part;
    });
  });
  const until = Date.now() + 20_000;
  while (said.some((text) => text.split('\n').length < 25) && Date.now() < until) await sleep(20);
  const closed = children.map((child) => once(child, 'close'));
  for (const child of children) child.kill('SIGKILL');
  await Promise.all(closed);
  const store = await openLogStore({ folder, mustExist: true });
  const { ok, entries } = await store.verify();
  await store.close();
  rmSync(folder, { recursive: true, force: true });
  expect(said.map((text) => text.split('\n').length >= 25)).toEqual([true, true]);
  expect(ok).toBe(true);
  expect(entries).toBeGreaterThanOrEqual(46);
}, 60_000);
