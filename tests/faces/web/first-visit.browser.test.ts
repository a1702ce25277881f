import { mkdtempSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, Request } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { listen } from '../../../src/faces/server/listen.ts';
import { type LogBook, openLogStore } from '../../../src/store/index.ts';
import { launchBrowser, root } from '../../support/browser.ts';
import { countedWire, NOTE_ANSWER, type Wire } from '../../support/wire.ts';

const MOST_BYTES = 330_000;
const SLOW = { timeout: 30_000 };

let data: string;
let book: LogBook;
let server: Awaited<ReturnType<typeof listen>>;
let wire: Wire;
let browser: Browser;
beforeAll(async () => {
  data = mkdtempSync(join(tmpdir(), 'oilshed-visit-'));
  book = await openLogStore({ folder: data });
  server = await listen({ root, log: book, port: 0 });
  wire = await countedWire(server.address);
  browser = await launchBrowser();
});
afterAll(async () => {
  await browser?.close();
  await wire?.close();
  await server?.close();
  await book?.close();
  rmSync(data, { recursive: true, force: true });
});

const NOT_NEEDED = /highs|planner|how-full|log-dialog|draw-fill|icon|sw\.js/;

test('a first visit has its answer after 330 kB, and what that does not need comes when the page rests', {
  timeout: 60_000,
}, async () => {
  const context = await browser.newContext();
  await context.addInitScript(NOTE_ANSWER);
  const requests: { request: Request; ms: number }[] = [];
  context.on('request', (request) => void requests.push({ request, ms: Date.now() }));
  const page = await context.newPage();
  await page.goto(wire.address, { waitUntil: 'commit' });
  await page.locator('.zones .zone-row').first().waitFor();
  const answeredAt = await page.evaluate<number>('globalThis.answeredAt');
  // What the page fetches once it rests may be on its way already by the time that this test sees the answer.
  const bytes = wire.received(answeredAt);
  expect(bytes).toBeGreaterThan(100_000);
  expect(bytes).toBeLessThanOrEqual(MOST_BYTES);
  const solver = readdirSync(join(root, 'dist', 'web', 'assets')).find((name) => name.endsWith('.wasm'));
  // The solver is stored unasked: kits are placed also where there is no network.
  const isSolverStored = () =>
    page.evaluate<boolean>(`caches.match('assets/${solver}').then((found) => found !== undefined)`);
  await expect.poll(isSolverStored, SLOW).toBe(true);
  const pathsOf = (isWanted: (ms: number) => boolean) =>
    requests
      // One that has not ended has no time of its own yet.
      .filter(({ request, ms }) => isWanted((request.timing().startTime || ms) - answeredAt))
      .map(({ request }) => new URL(request.url()).pathname);
  expect(pathsOf((ms) => ms < 0).filter((path) => NOT_NEEDED.test(path))).toEqual([]);
  expect(pathsOf((ms) => ms < 0).some((path) => /worker-/.test(path))).toBe(true);
  expect(pathsOf((ms) => ms >= 0).some((path) => /how-full/.test(path))).toBe(true);
  await context.close();
});
