import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { startPostgres } from '../../.scripts/postgres.ts';
import { openLogStore } from '../../src/store/index.ts';
import { buildWriter, type Kills, killWriters } from './kills.ts';

const postgres = await startPostgres().catch((error: Error) => {
  console.warn(error.message);
  return null;
});
afterAll(() => postgres?.stop());

let writer: Awaited<ReturnType<typeof buildWriter>>;
beforeAll(async () => {
  writer = await buildWriter();
});
afterAll(() => writer.remove());

function expectNothingLost({ kills, fell, acknowledged, lost, entries, ok }: Kills) {
  expect(acknowledged).toBeGreaterThan(3 * kills);
  expect({ fell, lost, ok }).toEqual({ fell: 0, lost: 0, ok: true });
  expect(entries - acknowledged).toBeGreaterThanOrEqual(0);
  expect(entries - acknowledged).toBeLessThanOrEqual(kills);
}

test('nothing that was acknowledged is lost when writers are killed, 200 times over', async () => {
  expectNothingLost(await killWriters({ count: 200, seed: 5, writer: writer.file }));
}, 300_000);

test.skipIf(postgres === null)(
  'nor in PostgreSQL, when writers are killed 30 times and the server three times under their hands',
  async () => {
    let crashes = 0;
    const afterKill = (kills: number) => {
      if (kills % 8 !== 0) return;
      postgres?.crash();
      crashes++;
    };
    expectNothingLost(
      await killWriters({ count: 30, seed: 7, writer: writer.file, databaseUrl: postgres?.url, afterKill }),
    );
    expect(crashes).toBe(3);
  },
  120_000,
);

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
