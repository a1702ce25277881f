import { randomBytes } from 'node:crypto';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { AxeBuilder } from '@axe-core/playwright';
import { type Browser, type BrowserContextOptions, chromium, type Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { uuidV7 } from '../../../src/faces/web/state/spill-entry.ts';
import type { SealedEntry } from '../../../src/log-book/index.ts';
import { runVerb } from '../../support/cli.ts';
import { closeDialog } from '../../support/close-dialog.ts';
import { type Served, serveBook } from '../../support/serve.ts';

const PHONE = { viewport: { width: 360, height: 740 }, hasTouch: true, isMobile: true };
const DESK = { viewport: { width: 1280, height: 800 } };
const SITE = 'tarn-lane-depot';
const SLOW = { timeout: 30_000 };

let browser: Browser;
let folder: string;
let book: Served;
let faults: string[] = [];
const pages: Page[] = [];

beforeAll(async () => {
  browser = await chromium.launch({
    executablePath: process.env.CHROMIUM_PATH ?? '/usr/bin/chromium',
    args: ['--no-sandbox', '--disable-gpu', '--disable-background-networking'],
  });
});
afterAll(() => browser?.close());
beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), 'oilshed-copies-'));
  book = await serveBook(join(folder, 'book'));
  faults = [];
});
afterEach(async () => {
  for (const page of pages.splice(0)) await page.context().close();
  await book.kill();
  rmSync(folder, { recursive: true, force: true });
});

async function open(options: BrowserContextOptions): Promise<Page> {
  const context = await browser.newContext({
    reducedMotion: 'reduce',
    serviceWorkers: 'block',
    timezoneId: 'America/Denver',
    ...options,
  });
  const page = await context.newPage();
  pages.push(page);
  page.on('pageerror', ({ message }) => void faults.push(message));
  await page.goto(book.address);
  await howFull(page);
  return page;
}

async function howFull(page: Page): Promise<void> {
  await closeDialog(page);
  await page.getByRole('button', { name: 'Separator', exact: true }).click();
  await page.locator('.due-list').first().waitFor(SLOW);
}

const button = (page: Page, name: string | RegExp) =>
  page.getByRole('button', { name, exact: typeof name === 'string' });
const note = (page: Page) => page.locator('.how-full .copy-note');

async function write(text: string): Promise<void> {
  const entry = {
    id: uuidV7(Date.now(), randomBytes(10)),
    site: SITE,
    kind: 'visit',
    at: '2026-05-30T14:05:00-06:00',
    by: 'J. Ortega',
    body: { at: 'SEP-1', note: text },
  };
  const headers = { 'content-type': 'application/json' };
  const reply = await fetch(`${book.address}/api/entries`, { method: 'POST', headers, body: JSON.stringify(entry) });
  expect(reply.status).toBe(201);
}
const entriesOf = async (): Promise<SealedEntry[]> =>
  ((await (await fetch(`${book.address}/api/entries?site=${SITE}`)).json()) as { entries: SealedEntry[] }).entries;

const oilshed = (...words: string[]) => runVerb(words);

/** Ends the server, and starts it at the same address on another folder. */
async function serveInstead(name: string): Promise<void> {
  const { port } = new URL(book.address);
  await book.kill();
  book = await serveBook(join(folder, name), Number(port));
}

async function noFault(page: Page): Promise<void> {
  const { violations } = await new AxeBuilder({ page }).analyze();
  expect(violations.map(({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html).join(' ')}`)).toEqual([]);
  expect(faults).toEqual([]);
}

const isRead = (page: Page, count: number) => button(page, `Log book (${count})`).first().waitFor(SLOW);

describe('a device that has read the log book', { timeout: 120_000 }, () => {
  test('says that it was restored from an older copy, hands its own out, and gives back what is missing', async () => {
    await write('the first');
    expect(
      (await oilshed('log', 'backup', '--data', join(folder, 'book'), '--out', join(folder, 'older'))).status,
    ).toBe(0);
    await write('the second');
    await write('the third');
    const before = await entriesOf();
    const page = await open(PHONE);
    await isRead(page, 3);
    await serveInstead('older');
    // It is noticed without a reload, and said over whatever is on screen.
    await expect
      .poll(() => note(page).textContent(), SLOW)
      .toMatch(
        /^The log book lacks 2 entries that this device has read\. It ends with no\. 1; this device has read up to no\. 3, /,
      );
    expect(await page.locator('.notice').textContent()).toContain('does not go on from what this device has read');
    await isRead(page, 1);
    await page.reload();
    await howFull(page);
    await note(page).waitFor(SLOW);
    await noFault(page);

    const download = page.waitForEvent('download');
    await note(page).getByRole('button', { name: 'Save this device’s copy' }).click();
    const file = join(folder, (await download).suggestedFilename());
    await (await download).saveAs(file);
    expect(file).toMatch(/log-book-tarn-lane-depot-to-3\.jsonl$/);
    expect(
      readFileSync(file, 'utf8')
        .trim()
        .split('\n')
        .map((line) => (JSON.parse(line) as SealedEntry).hash),
    ).toEqual(before.map(({ hash }) => hash));
    const imported = await oilshed('log', 'import', file, '--data', join(folder, 'imported'), '--json');
    expect(JSON.parse(imported.stdout)).toMatchObject({ added: 3, present: 0 });

    await note(page).getByRole('button', { name: 'Send the 2 back' }).click();
    await expect
      .poll(() => page.locator('.how-full .kept-note').textContent(), SLOW)
      .toBe('2 of 2 entries were sent back. The log book has them again.');
    await expect.poll(() => note(page).count()).toBe(0);
    expect(await entriesOf()).toEqual(before);
    await page.reload();
    await howFull(page);
    await isRead(page, 3);
    expect(await page.locator('.copy-note, .notice').count()).toBe(0);
    await book.kill();
    const verified = await oilshed('log', 'verify', '--data', join(folder, 'older'), '--json');
    expect(JSON.parse(verified.stdout)).toMatchObject({ ok: true, entries: 3 });
    expect(faults).toEqual([]);
  });

  test('says that it was written anew, sends nothing into it, and keeps its copy until it is asked to throw it away', async () => {
    await write('the first');
    await write('the second');
    const before = await entriesOf();
    const page = await open(DESK);
    await isRead(page, 2);
    await serveInstead('another');
    await write('another first');
    await expect
      .poll(() => note(page).textContent(), SLOW)
      .toMatch(
        /^The log book is not the one that this device has read\. They have no entry in common; .*nothing can be sent back/,
      );
    for (let time = 0; time < 2; time++) {
      await page.reload();
      await howFull(page);
      await note(page).waitFor(SLOW);
      await isRead(page, 1);
    }
    expect(await page.locator('.log-strip').textContent()).toContain(
      'It does not go on from what this device has read.',
    );
    expect(await button(page, /back/).count()).toBe(0);
    const download = page.waitForEvent('download');
    await note(page).getByRole('button', { name: 'Save this device’s copy' }).click();
    const file = join(folder, 'copy.jsonl');
    await (await download).saveAs(file);
    expect(readFileSync(file, 'utf8')).toContain(before[1].hash);
    await noFault(page);

    await note(page).getByRole('button', { name: 'Throw it away' }).click();
    await note(page).getByRole('button', { name: 'Keep it' }).click();
    expect(await note(page).count()).toBe(1);
    await note(page).getByRole('button', { name: 'Throw it away' }).click();
    await note(page).locator('.ending').getByRole('button', { name: 'Throw it away' }).click();
    await expect.poll(() => note(page).count()).toBe(0);
    await page.reload();
    await howFull(page);
    await isRead(page, 1);
    expect(await note(page).count()).toBe(0);
    expect(faults).toEqual([]);
  });

  test('keeps what it read through a sign-out, hidden, and knows it again; unless it is told to clear it', async () => {
    await write('the first');
    const add = (name: string) => {
      const words = ['people', 'add', name, '--role', 'manager', '--data', join(folder, 'book')];
      return runVerb(words, { input: 'harbour lantern gravel 7\n' });
    };
    expect((await add('R. Calloway')).status).toBe(0);
    const page = await open(DESK);
    const signIn = async () => {
      await page.getByLabel('Name', { exact: true }).fill('R. Calloway');
      await page.getByLabel('Password', { exact: true }).fill('harbour lantern gravel 7');
      await button(page, 'Sign in').click();
      await isRead(page, 1);
    };
    const signOut = async (how: string) => {
      await button(page, 'Log book (1)').click();
      await page.locator('.signed-in').getByRole('button', { name: 'Sign out' }).click();
      await page.locator('.ending').getByRole('button', { name: how, exact: true }).click();
      await page.getByLabel('Password', { exact: true }).first().waitFor(SLOW);
      await page.locator('.log-book').getByRole('button', { name: 'Close' }).click();
    };
    const kept = () =>
      page.evaluate(
        (site) =>
          new Promise<number>((resolve) => {
            const request = indexedDB.open('oilshed');
            request.onsuccess = () => {
              const got = request.result.transaction('book').objectStore('book').get(site);
              got.onsuccess = () => {
                request.result.close();
                resolve((got.result as unknown[] | undefined)?.length ?? 0);
              };
            };
          }),
        SITE,
      );
    await signIn();
    await expect.poll(kept).toBe(1);
    await signOut('Sign out');
    expect(await kept()).toBe(1);
    // Nobody is signed in, and nothing answers: what is kept is not shown.
    await page.route('**/api/**', (route) => route.abort());
    await page.reload();
    await howFull(page);
    await expect.poll(() => page.locator('.how-full .book-note').textContent(), SLOW).toContain('does not answer now');
    expect(await button(page, 'Log book').count()).toBeGreaterThan(0);
    expect(await button(page, /^Log book \(/).count()).toBe(0);
    await page.unroute('**/api/**');
    await page.reload();
    await howFull(page);
    await signIn();
    expect(await note(page).count()).toBe(0);
    await signOut('Sign out and clear it');
    await expect.poll(kept).toBe(0);
    await noFault(page);
  });
});
