import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { afterAll, expect, test } from 'vitest';
import { openLogStore } from '../../src/store/index.ts';
import { expectNothingLost, expectNothingLostInPostgres, startKilling } from './nothing-lost.ts';

const { writer, postgres, stop } = await startKilling();
afterAll(stop);

test('nothing that was acknowledged is lost when writers are killed, 24 times over', { timeout: 120_000 }, () =>
  expectNothingLost({ count: 24, seed: 5, writer }),
);

test.skipIf(postgres === null)(
  'nor in PostgreSQL, when writers are killed 16 times and the server twice under their hands',
  { timeout: 120_000 },
  () => expectNothingLostInPostgres(postgres as NonNullable<typeof postgres>, { count: 16, writer }),
);

test('two programs that write into one book at once share out the numbers', async () => {
  const folder = mkdtempSync(join(tmpdir(), 'oilshed-two-'));
  const children = [1, 2].map((n) =>
    spawn(process.execPath, [writer, folder, String(n * 100_000)], { stdio: ['ignore', 'pipe', 'inherit'] }),
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
