import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { FastifyInstance } from 'fastify';
import type { Browser, BrowserContext, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, describe, expect, test } from 'vitest';
import { buildApp } from '../../../src/faces/server/app.ts';
import { type LogBook, openLogStore } from '../../../src/store/index.ts';
import { madeEntry } from '../../log-book/made.ts';
import { launchBrowser, root } from '../../support/browser.ts';
import { madeCertificate } from '../../support/certificate.ts';
import { addPeople, MADE_PEOPLE } from '../server/made-people.ts';

const TABS = 10;
const SITE = 'tarn-lane-depot';
const OTHER_SITE = 'pedlar-corner-garage';
const SLOW = { timeout: 60_000 };
/** A question for which the browser has no connection left is answered never: ten streams would take them all. */
const ANSWERED_MS = 20_000;
const certificate = madeCertificate();

let browser: Browser;
beforeAll(async () => {
  browser = await launchBrowser('--ignore-certificate-errors');
});
afterAll(() => browser?.close());

let data: string;
let book: LogBook;
let app: FastifyInstance;
let context: BrowserContext;
let address: string;
/** Streams that are open now, and the versions of HTTP that they came by. */
let streams: Set<object>;
let versions: string[];
/** The most streams that were open at once since this was last set to 0. */
let mostStreams: number;
/** All that was asked of the server, by address. */
let asked: string[];
let faults: string[];

interface Setting {
  isSecure?: boolean;
  hasWorker?: boolean;
  hasPeople?: boolean;
}

async function start({ isSecure = false, hasWorker = true, hasPeople = false }: Setting = {}): Promise<void> {
  data = mkdtempSync(join(tmpdir(), 'oilshed-tabs-'));
  book = await openLogStore({ folder: data });
  if (hasPeople) await addPeople(book);
  app = await buildApp(root, book, { https: isSecure ? (certificate ?? undefined) : undefined });
  [streams, versions, asked, faults] = [new Set(), [], [], []];
  mostStreams = 0;
  app.addHook('onRequest', async ({ raw }) => {
    asked.push(raw.url ?? '');
    if (!raw.url?.startsWith('/api/events')) return;
    streams.add(raw);
    mostStreams = Math.max(mostStreams, streams.size);
    versions.push(raw.httpVersion);
    raw.once('close', () => streams.delete(raw));
  });
  address = await app.listen({ host: '127.0.0.1', port: 0 });
  context = await browser.newContext({ reducedMotion: 'reduce' });
  if (!hasWorker) await context.addInitScript('delete globalThis.SharedWorker');
}
afterEach(async () => {
  await context?.close();
  await app?.close();
  await book?.close();
  rmSync(data, { recursive: true, force: true });
});

async function openTab(): Promise<Page> {
  const page = await context.newPage();
  page.on('pageerror', ({ message }) => void faults.push(message));
  await page.goto(address);
  await page.locator('.zones .zone-row').first().waitFor(SLOW);
  return page;
}
async function openTabs(count: number): Promise<Page[]> {
  const pages: Page[] = [];
  for (let n = 0; n < count; n++) pages.push(await openTab());
  return pages;
}

const strip = (page: Page) => page.locator('.log-strip').textContent();
const written = (n: number, site = SITE) => book.add(madeEntry(n, { site, body: { note: `seen ${n}` } }));
const showEntries = (pages: Page[], count: number) =>
  Promise.all(
    pages.map((page) =>
      expect.poll(() => strip(page), SLOW).toContain(`${count} ${count === 1 ? 'entry' : 'entries'}.`),
    ),
  );
const oneStream = () => expect.poll(() => streams.size, SLOW).toBe(1);
/** ms that a question to the server takes in a tab, by a connection of the browser's. */
const answerMs = (page: Page) =>
  page.evaluate<number>(`(async () => {
    const start = performance.now();
    await (await fetch('api/health', { cache: 'no-store' })).text();
    return performance.now() - start;
  })()`);

describe('ten tabs of one browser', { timeout: 300_000 }, () => {
  const settings: [string, Setting, string][] = [
    ['over plain http', {}, '1.1'],
    ['over plain http without a shared worker', { hasWorker: false }, '1.1'],
    ['over https by HTTP/2', { isSecure: true }, '2.0'],
    ['over https by HTTP/2 without a shared worker', { isSecure: true, hasWorker: false }, '2.0'],
  ];
  test.each(settings.filter(([, { isSecure }]) => certificate || !isSecure))(
    'share one stream %s, all hear of an entry, and the tenth is answered at once',
    async (_, setting, version) => {
      await start(setting);
      const pages = await openTabs(TABS);
      await oneStream();
      mostStreams = 0;
      expect(new Set(versions)).toEqual(new Set([version]));
      expect(await answerMs(pages[TABS - 1])).toBeLessThan(ANSWERED_MS);
      await written(1);
      await showEntries(pages, 1);
      await written(2);
      await showEntries(pages, 2);
      await oneStream();
      expect(mostStreams).toBeLessThanOrEqual(1);
      expect(faults).toEqual([]);
    },
  );
});

describe('the one stream', { timeout: 240_000 }, () => {
  test.each([true, false])('is held by another when tabs close, with a shared worker: %s', async (hasWorker) => {
    await start({ hasWorker });
    const pages = await openTabs(3);
    await oneStream();
    // Whichever held it: each is closed in turn.
    for (let n = 1; pages.length > 1; n++) {
      await pages.shift()?.close();
      await written(n);
      await showEntries(pages, n);
      await oneStream();
    }
    await pages[0].close();
    await expect.poll(() => streams.size, SLOW).toBe(0);
  });

  test.each([true, false])('brings several sites at once, with a shared worker: %s', async (hasWorker) => {
    await start({ hasWorker });
    const pages = await openTabs(2);
    await pages[1].locator('.yard-menu').selectOption({ label: 'Two-bay garage' });
    await expect
      .poll(() => asked.some((url) => url.includes('site=') && url.split('site=').length === 3), SLOW)
      .toBe(true);
    await oneStream();
    await written(1);
    await showEntries([pages[0]], 1);
    expect(await strip(pages[1])).toContain('Nothing has been written down');
    await written(2, OTHER_SITE);
    await written(3, OTHER_SITE);
    await showEntries([pages[1]], 2);
    expect(await strip(pages[0])).toContain('1 entry.');
    expect(faults).toEqual([]);
  });

  test.each([true, false])(
    'and what was shown end for all tabs when one signs out, with a shared worker: %s',
    async (hasWorker) => {
      await start({ hasWorker, hasPeople: true });
      await written(1);
      const pages = await openTabs(3);
      await signIn(pages[0], 'manager');
      // The others hear of it, and need not sign in again.
      await showEntries(pages, 1);
      await oneStream();
      await pages[1].getByRole('button', { name: 'Log book', exact: true }).click();
      await expect.poll(() => pages[1].locator('.signed-in').textContent(), SLOW).toContain(MADE_PEOPLE.manager.name);
      await pages[1].getByRole('button', { name: 'Sign out' }).click();
      await pages[1].locator('.ending').getByRole('button', { name: 'Sign out', exact: true }).click();
      for (const page of pages) await expect.poll(() => strip(page), SLOW).not.toContain('1 entry');
      await expect.poll(() => streams.size, SLOW).toBe(0);
      await signIn(pages[2], 'crew');
      await showEntries(pages, 1);
      await oneStream();
      await pages[0].getByText(`Signed in as ${MADE_PEOPLE.crew.name}`).waitFor({ ...SLOW, state: 'attached' });
      expect(faults).toEqual([]);
    },
  );

  test('ends for all tabs with the session, and none shows the log book then', async () => {
    await start({ hasPeople: true });
    await written(1);
    const pages = await openTabs(3);
    await signIn(pages[0], 'crew');
    await showEntries(pages, 1);
    await oneStream();
    await book.people.remove(MADE_PEOPLE.crew.name);
    for (const page of pages) await expect.poll(() => strip(page), SLOW).toContain('Sign in to read it.');
    await expect.poll(() => streams.size, SLOW).toBe(0);
  });
});

async function signIn(page: Page, role: keyof typeof MADE_PEOPLE): Promise<void> {
  await page.getByRole('button', { name: 'Log book', exact: true }).click();
  const { name, password } = MADE_PEOPLE[role];
  await page.getByLabel('Name', { exact: true }).fill(name);
  await page.getByLabel('Password').fill(password);
  await page.getByRole('button', { name: 'Sign in' }).click();
}
