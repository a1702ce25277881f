import { randomBytes } from 'node:crypto';
import { once } from 'node:events';
import { existsSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { Worker } from 'node:worker_threads';
import type { Browser } from 'playwright-core';
import { launchBrowser } from '../support/browser.ts';
import { serveBook } from '../support/serve.ts';
import { countedWire, NOTE_ANSWER } from '../support/wire.ts';

const VISITS = 5;
const SLOW_DOWNS = [1, 4];

/** What a first visit cost, from the address typed until the first answer stood on screen. */
interface FirstVisit {
  ms: number;
  bytes: number;
  /** Pieces of work of over 50 ms on the page's main thread, ms each. */
  longTasks: number[];
}

/** Keeps the page's long tasks where they can be asked for. In the page's own words, as the bench's compiler adds names of its own to functions. */
const KEEP_LONG_TASKS = `
  globalThis.longTasks = [];
  new PerformanceObserver((list) => globalThis.longTasks.push(...list.getEntries().map(({ duration }) => duration)))
    .observe({ type: 'longtask', buffered: true });
`;

/** Visits with nothing stored. `slowDown` holds for the page's main thread: Chromium does not slow workers down. */
async function firstVisit(browser: Browser, server: string, slowDown: number): Promise<FirstVisit> {
  const wire = await countedWire(server);
  const context = await browser.newContext();
  try {
    const page = await context.newPage();
    await page.addInitScript(KEEP_LONG_TASKS);
    await page.addInitScript(NOTE_ANSWER);
    const chromium = await context.newCDPSession(page);
    await chromium.send('Emulation.setCPUThrottlingRate', { rate: slowDown });
    const start = performance.now();
    await page.goto(wire.address, { waitUntil: 'commit' });
    await page.locator('.zones .zone-row').first().waitFor();
    const ms = performance.now() - start;
    const bytes = wire.received(await page.evaluate<number>('globalThis.answeredAt'));
    return { ms, bytes, longTasks: await page.evaluate<number[]>('globalThis.longTasks') };
  } finally {
    await context.close();
    await wire.close();
  }
}

const middle = (values: number[]) => [...values].sort((a, b) => a - b)[values.length >> 1];

async function firstVisits(server: string, print: (line: string) => void): Promise<void> {
  const browser = await launchBrowser();
  try {
    await firstVisit(browser, server, 1);
    print(`first visits, the middle of ${VISITS}`);
    print('slow-down  kB on the wire  answer, ms  long tasks  longest, ms');
    for (const slowDown of SLOW_DOWNS) {
      const visits: FirstVisit[] = [];
      for (let n = 0; n < VISITS; n++) visits.push(await firstVisit(browser, server, slowDown));
      const of = (read: (visit: FirstVisit) => number) => middle(visits.map(read)).toFixed(0);
      const kilobytes = of(({ bytes }) => bytes / 1000).padStart(14);
      const answer = of(({ ms }) => ms).padStart(10);
      const tasks = of(({ longTasks }) => longTasks.length).padStart(10);
      print(
        `${slowDown} ×        ${kilobytes}  ${answer}  ${tasks}  ${of(({ longTasks }) => Math.max(0, ...longTasks)).padStart(11)}`,
      );
    }
  } finally {
    await browser.close();
  }
}

export interface Stall {
  /** The longest that a health check took to be answered while photos came in, and without them, ms. */
  longestMs: number;
  restMs: number;
  /** From the first byte sent to the last photo acknowledged, ms. */
  totalMs: number;
}

/** Asks for a server's health again and again until it is told to stop; then tells the longest time, in ms. A thread of its own, so that sending photos does not hold it up. */
const ASK_FOR_HEALTH = `
  const { parentPort, workerData } = require('node:worker_threads');
  let isDone = false;
  parentPort.once('message', () => { isDone = true; });
  (async () => {
    let longestMs = 0;
    for (let n = 0; !isDone; n++) {
      const start = performance.now();
      await (await fetch(workerData)).text();
      // The first opens the connection.
      if (n > 0) longestMs = Math.max(longestMs, performance.now() - start);
      await new Promise((later) => setTimeout(later, 5));
    }
    parentPort.postMessage(longestMs);
  })();
`;

/** The longest that a health check waits, in ms, while `work` is done. */
async function longestHealthMs(address: string, work: () => Promise<unknown>): Promise<number> {
  const asker = new Worker(ASK_FOR_HEALTH, { eval: true, workerData: `${address}/api/health` });
  try {
    await sleep(200);
    await work();
    const told = once(asker, 'message');
    asker.postMessage('stop');
    const [longestMs] = await told;
    return Number(longestMs);
  } finally {
    await asker.terminate();
  }
}

/** Posts photos to the log book at an address, all at once, and asks for its health all the while. Throws where one is refused. */
export async function stallOfHealth(address: string, { photos = 40, megabytes = 4 } = {}): Promise<Stall> {
  const bodies = Array.from({ length: photos }, () => noisyPhoto(megabytes * 2 ** 20));
  const restMs = await longestHealthMs(address, () => sleep(1000));
  let totalMs = 0;
  const longestMs = await longestHealthMs(address, async () => {
    const start = performance.now();
    await Promise.all(bodies.map((body) => postPhoto(address, body)));
    totalMs = performance.now() - start;
  });
  return { longestMs, restMs, totalMs };
}

async function postPhoto(address: string, body: Buffer<ArrayBuffer>): Promise<void> {
  const reply = await fetch(`${address}/api/photos`, {
    method: 'POST',
    headers: { 'content-type': 'image/jpeg' },
    body,
  });
  if (reply.status !== 201) throw new Error(`the photo was answered with ${reply.status}: ${await reply.text()}`);
  await reply.text();
}

/** Bytes built as a JPEG with one scan is, of data that nothing can make shorter. */
function noisyPhoto(length: number): Buffer<ArrayBuffer> {
  // A 0xff would begin a marker.
  const scan = randomBytes(length).map((byte) => (byte === 0xff ? 0 : byte));
  return Buffer.concat([Buffer.from([0xff, 0xd8, 0xff, 0xda, 0, 2]), scan, Buffer.from([0xff, 0xd9])]);
}

/** Bytes and time until the first answer of a first visit; how long a health check waits while forty photos come in. */
export async function run(print: (line: string) => void): Promise<void> {
  const data = mkdtempSync(join(tmpdir(), 'oilshed-bench-'));
  const book = await serveBook(data);
  try {
    if (existsSync(process.env.CHROMIUM_PATH ?? '/usr/bin/chromium')) await firstVisits(book.address, print);
    else print('first visits: skipped, there is no Chromium here');
    const { longestMs, restMs, totalMs } = await stallOfHealth(book.address);
    print(
      `a health check while 40 photos of 4 MB come in at once: ${longestMs.toFixed(0)} ms at the longest, without them ` +
        `${restMs.toFixed(0)} ms; all were taken after ${(totalMs / 1000).toFixed(1)} s`,
    );
  } finally {
    await book.kill();
    rmSync(data, { recursive: true, force: true });
  }
}
