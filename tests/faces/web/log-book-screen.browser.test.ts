import { spawnSync } from 'node:child_process';
import { randomBytes } from 'node:crypto';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { AxeBuilder } from '@axe-core/playwright';
import { type Browser, type BrowserContextOptions, chromium, type Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { uuidV7 } from '../../../src/faces/web/state/spill-entry.ts';
import { correctedBy, noteOf, type SealedEntry, subjectOf } from '../../../src/log-book/index.ts';
import { root } from '../../support/browser.ts';
import { closeDialog } from '../../support/close-dialog.ts';
import { type Served, serveBook } from '../../support/serve.ts';

const PHONE = { viewport: { width: 360, height: 740 }, hasTouch: true, isMobile: true };
const DESK = { viewport: { width: 1440, height: 900 } };
const SITE = 'tarn-lane-depot';
const PHOTO = join(root, 'docs', 'guide', 'spill-phone.png');
const SLOW = { timeout: 30_000 };

let browser: Browser;
let data: string;
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
  data = mkdtempSync(join(tmpdir(), 'oilshed-screen-'));
  book = await serveBook(data);
  faults = [];
});
afterEach(async () => {
  for (const page of pages.splice(0)) await page.context().close();
  await book.kill();
  rmSync(data, { recursive: true, force: true });
});

/** A page with the depot open; it may come without a network later on. */
async function open(options: BrowserContextOptions, { isStored = false } = {}): Promise<Page> {
  const context = await browser.newContext({
    reducedMotion: 'reduce',
    serviceWorkers: isStored ? 'allow' : 'block',
    timezoneId: 'America/Denver',
    ...options,
  });
  const page = await context.newPage();
  pages.push(page);
  page.on('pageerror', ({ message }) => void faults.push(message));
  await page.goto(book.address);
  await page.locator('.zones .zone-row').first().waitFor();
  return page;
}

async function howFull(page: Page): Promise<void> {
  await closeDialog(page);
  await page.getByRole('button', { name: 'Separator', exact: true }).click();
  await page.locator('.due-list').first().waitFor(SLOW);
}

const button = (page: Page, name: string | RegExp) => page.getByRole('button', { name });
const dueOf = (page: Page, separator: string) =>
  page
    .locator('.due-row', { hasText: `Read ${separator}` })
    .locator('strong')
    .textContent();

const heldIn = (page: Page, separator: string) =>
  page
    .locator('.due-row', { hasText: `Read ${separator}` })
    .locator('.due-more')
    .first()
    .textContent();

/** Fills in the visit form for the main separator. */
async function writeVisit(page: Page, inches: string): Promise<void> {
  await page.locator('.how-full').getByRole('button', { name: 'Log a visit' }).click();
  await page.getByLabel('Where').selectOption('SEP-1');
  await page.getByLabel('Your name').fill('R. Amadi');
  await page.getByLabel('Thickness, inches').fill(inches);
}

/** What the device keeps of the visit that is being written: what a reload finds. */
const draftOf = (page: Page) =>
  page.evaluate(() =>
    JSON.stringify(
      Object.entries(localStorage)
        .filter(([name]) => name.startsWith('oilshed-visit'))
        .map(([, kept]) => JSON.parse(kept)),
    ),
  );

/** Loads the page again: what was open over the map is open again, and is closed. */
async function reload(page: Page): Promise<void> {
  const isOpen = (await page.locator('.log-book[open]').count()) > 0;
  await page.reload();
  if (isOpen) await page.locator('.log-book header button').last().click();
  await howFull(page);
}

const keep = (page: Page) => button(page, 'Keep this visit').click();
const entriesOf = async (): Promise<SealedEntry[]> =>
  ((await (await fetch(`${book.address}/api/entries?site=${SITE}`)).json()) as { entries: SealedEntry[] }).entries;

/** Waits until the log book itself has so many entries: "kept" is said as soon as the device has them. */
const isInBook = (count: number) => expect.poll(async () => (await entriesOf()).length, SLOW).toBe(count);

async function noFault(page: Page): Promise<void> {
  const { violations } = await new AxeBuilder({ page }).analyze();
  expect(violations.map(({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html).join(' ')}`)).toEqual([]);
  expect(faults).toEqual([]);
}

describe('the log book on screen', { timeout: 120_000 }, () => {
  test('a visit with a photo is logged on a phone, the due date moves, and all is there after the server was killed', async () => {
    const page = await open(PHONE);
    await howFull(page);
    const before = await dueOf(page, 'Main separator');
    await writeVisit(page, '0.6');
    await expect.poll(() => page.locator('.worked-out').textContent()).toContain('34.8 gal');
    await button(page, 'Adrift').click();
    expect(await page.locator('.follows').allTextContents()).toContain(
      'Fish the loose pillow out. A loose pillow can block a pipe.',
    );
    await page.locator('input[type=file][accept*=jpeg]').setInputFiles(PHOTO);
    await page.locator('.photos img').waitFor();
    await noFault(page);
    await keep(page);
    await page.locator('.kept-note').waitFor();
    await expect.poll(() => page.locator('.kept-note').textContent()).toMatch(/was /);
    await button(page, 'Close').click();
    const after = await dueOf(page, 'Main separator');
    expect(after).not.toBe(before);

    await isInBook(1);
    await book.kill();
    book = await serveBook(data, Number(new URL(book.address).port));
    const [entry] = await entriesOf();
    expect(entry).toMatchObject({ kind: 'visit', by: 'R. Amadi', body: { at: 'SEP-1' } });
    const photo = await fetch(`${book.address}/api/photos/${entry.photos?.[0]}`);
    expect((await photo.arrayBuffer()).byteLength).toBe(readFileSync(PHOTO).length);
    await reload(page);
    await expect.poll(() => dueOf(page, 'Main separator')).toBe(after);
    await button(page, /^Log book/)
      .first()
      .click();
    await expect.poll(() => page.locator('.entry-words').first().textContent()).toMatch(/Read Main separator: 0.60 in/);
    expect(await page.locator('.entry .photos img').count()).toBe(1);
    await noFault(page);
  });

  test('without a network the device knows what it read, a visit waits through a reload, counts at once, and is sent later, once', async () => {
    const page = await open(PHONE, { isStored: true });
    await page.evaluate(() => navigator.serviceWorker.ready.then(() => true));
    await howFull(page);
    await writeVisit(page, '0.2');
    await keep(page);
    await page.locator('.kept-note').waitFor();
    await button(page, 'Close').click();
    await expect.poll(() => heldIn(page, 'Main separator')).toMatch(/^0.20 in/);
    await isInBook(1);
    await expect.poll(() => page.locator('.book-note').count()).toBe(0);
    const { port } = new URL(book.address);
    await book.kill();
    await reload(page);
    await expect.poll(() => heldIn(page, 'Main separator'), SLOW).toMatch(/^0.20 in/);
    await writeVisit(page, '0.7');
    await page.locator('input[type=file][accept*=jpeg]').setInputFiles(PHOTO);
    await keep(page);
    await expect
      .poll(() => page.locator('.log-book .book-note').textContent())
      .toMatch(/One entry waits on this device/);
    expect(await page.locator('.entry em').allTextContents()).toEqual(['waits to be sent']);
    await reload(page);
    await expect.poll(() => heldIn(page, 'Main separator'), SLOW).toMatch(/^0.70 in/);
    book = await serveBook(data, Number(port));
    await reload(page);
    await expect
      .poll(async () => (await entriesOf()).map((entry) => [subjectOf(entry), entry.photos?.length ?? 0]), SLOW)
      .toEqual([
        ['SEP-1', 0],
        ['SEP-1', 1],
      ]);
    await button(page, /^Log book/)
      .first()
      .click();
    await expect.poll(() => page.locator('.entry em').count(), SLOW).toBe(0);
    await expect.poll(() => page.locator('.entry').count(), SLOW).toBe(2);
    expect(faults).toEqual([]);
  });

  test('a copy of another log book is not taken for this one', async () => {
    const page = await open(DESK);
    await howFull(page);
    await writeVisit(page, '0.2');
    await keep(page);
    await page.locator('.kept-note').waitFor();
    await isInBook(1);
    await expect.poll(() => page.locator('.entry em').count()).toBe(0);
    const { port } = new URL(book.address);
    await book.kill();
    const other = mkdtempSync(join(tmpdir(), 'oilshed-screen-'));
    book = await serveBook(other, Number(port));
    await reload(page);
    await expect.poll(() => page.locator('.log-strip').textContent(), SLOW).toContain('Nothing has been written down');
    rmSync(other, { recursive: true, force: true });
    expect(faults).toEqual([]);
  });

  test('a draft outlives a reload, and can be begun afresh; what is missing is said', async () => {
    const page = await open(PHONE);
    await howFull(page);
    await page.locator('.how-full').getByRole('button', { name: 'Log a visit' }).click();
    await keep(page);
    await expect.poll(() => page.locator('.form-trouble').textContent()).toBe('Write what you saw, or take a photo.');
    await page.getByLabel('Where').selectOption('SEP-2');
    await page.getByLabel('Thickness, inches').fill('500');
    await keep(page);
    await expect.poll(() => page.locator('.form-trouble').textContent()).toBe('Mend the number that is marked.');
    await page.getByLabel('Thickness, inches').fill('');
    await page.getByLabel('Depth, inches').fill('3.5');
    await button(page, 'A sheen').click();
    await keep(page);
    await expect.poll(() => page.locator('.form-trouble').textContent()).toBe('Write your name.');
    await page.getByLabel('Your name').fill('R. Amadi');
    await page.getByLabel('Anything else').fill('<b>smell</b> of diesel');
    await expect.poll(() => draftOf(page), SLOW).toContain('smell');
    await reload(page);
    await page.locator('.how-full').getByRole('button', { name: 'Log a visit' }).click();
    await page.locator('.draft-note').waitFor();
    expect(await page.getByLabel('Where').inputValue()).toBe('SEP-2');
    expect(await page.getByLabel('Depth, inches').inputValue()).toBe('3.5');
    expect(await button(page, 'A sheen').getAttribute('aria-pressed')).toBe('true');
    await keep(page);
    await expect.poll(() => page.locator('.entry-words').first().textContent()).toContain('<b>smell</b> of diesel');
    await page.locator('.log-book').getByRole('button', { name: 'Log a visit' }).click();
    await page.getByLabel('Where').waitFor();
    expect(await page.locator('.draft-note').count()).toBe(0);
    // What was seen in one place is not taken along to another.
    await button(page, 'Soaked').click();
    await page.getByLabel('Where').selectOption('CB-1');
    await button(page, 'Clean').click();
    await keep(page);
    await expect.poll(async () => (await entriesOf()).at(-1)?.body).toEqual({ at: 'CB-1', seen: 'clean' });
    expect(faults).toEqual([]);
  });

  test('the number to mend is marked and named, and what was told of it goes when it is mended', async () => {
    const page = await open(DESK);
    await howFull(page);
    const trouble = () => page.locator('.form-trouble').textContent();
    const marked = page.locator('[aria-invalid="true"]');
    await writeVisit(page, '500');
    await keep(page);
    await expect.poll(trouble).toBe('Mend the number that is marked.');
    expect(await marked.evaluate((field) => field === document.activeElement)).toBe(true);
    expect(await page.locator('.fields .hint').textContent()).toBe('Write a number from 0 to 118, or leave it empty.');
    await page.getByLabel('Thickness, inches').fill('5');
    await expect.poll(trouble).toBe('');
    await expect.poll(() => draftOf(page), SLOW).toContain(':127}');
    // A number that is not there any more after a reload is not asked for.
    await page.getByLabel('Thickness, inches').fill('500');
    await expect.poll(() => draftOf(page), SLOW).not.toContain(':127}');
    await reload(page);
    await page.locator('.how-full').getByRole('button', { name: 'Log a visit' }).click();
    await page.getByLabel('Thickness, inches').waitFor();
    // Nothing else was filled in, so nothing was begun.
    expect(await page.locator('.draft-note').count()).toBe(0);
    expect(await marked.count()).toBe(0);
    await keep(page);
    await expect.poll(trouble).toBe('Write what you saw, or take a photo.');
    await button(page, 'Back').click();

    await button(page, 'Something done').click();
    await page.getByLabel(/^Taken out in all/).fill('-100');
    await page.getByRole('button', { name: 'Keep this', exact: true }).click();
    await expect.poll(trouble).toBe('Mend the number that is marked.');
    expect(await marked.count()).toBe(1);
    await page.getByLabel('What was done').selectOption('swept');
    await expect.poll(trouble).toBe('');
    await page.getByLabel('What was done').selectOption('pump-out');
    await page.getByRole('button', { name: 'Keep this', exact: true }).click();
    await page.locator('.kept-note').waitFor();
    await isInBook(1);
    expect((await entriesOf())[0].body).not.toHaveProperty('litres');
    await noFault(page);
  });

  test('a time is shown as it was entered, by the yard’s clock, which is named where this device has another', async () => {
    const page = await open({ ...PHONE, timezoneId: 'UTC' });
    await howFull(page);
    await writeVisit(page, '0.5');
    await page.getByLabel('When').fill('2026-05-30T14:05');
    expect(await page.locator('.wide .hint').textContent()).toBe(
      'Times are the yard’s (America/Denver): it is 14:05 there when this device says 20:05.',
    );
    await keep(page);
    await expect.poll(() => page.locator('.entry-when').textContent()).toContain('May 30, 2026, 14:05');
    expect(await page.locator('.log-book').textContent()).toContain('Times are the yard’s (America/Denver)');
    await isInBook(1);
    expect((await entriesOf())[0].at).toBe('2026-05-30T14:05:00-06:00');
    const other = await open(PHONE);
    await howFull(other);
    await other.locator('.how-full').getByRole('button', { name: 'Log book (1)' }).click();
    await expect.poll(() => other.locator('.entry-when').textContent()).toContain('May 30, 2026, 14:05');
    expect(await other.locator('.log-book').textContent()).not.toContain('Times are the yard’s');
    expect(faults).toEqual([]);
  });

  test('without a network nothing is said to be on its way', async () => {
    const page = await open(PHONE);
    await howFull(page);
    await page.context().setOffline(true);
    await writeVisit(page, '0.5');
    await keep(page);
    const note = () => page.locator('.log-book .book-note').textContent();
    await expect.poll(note).toMatch(/^The log book does not answer now\..* One entry waits on this device\./);
    expect(await page.locator('.log-book').textContent()).not.toContain('Being sent');
    await page.context().setOffline(false);
    await isInBook(1);
    await expect.poll(() => page.locator('.log-book .book-note').count(), SLOW).toBe(0);
    // A server that is gone without the device's network being so.
    await book.kill();
    await page.locator('.log-book').getByRole('button', { name: 'Log a visit' }).click();
    await page.getByLabel('Thickness, inches').fill('0.6');
    await keep(page);
    await expect.poll(note, SLOW).toMatch(/^The log book does not answer now/);
    expect(faults).toEqual([]);
  });

  test('what another writes is shown without asking, corrected entries are struck and count no more', async () => {
    const page = await open(DESK);
    await howFull(page);
    await writeVisit(page, '0.5');
    await keep(page);
    await button(page, 'Close').click();
    const other = await open(DESK);
    await howFull(other);
    await expect.poll(() => dueOf(other, 'Main separator')).toBe(await dueOf(page, 'Main separator'));
    await button(other, 'Log book').first().click();
    await other.getByText('More', { exact: true }).first().click();
    await button(other, 'Correct it').click();
    await other.getByLabel('What was wrong').fill('That was the other separator.');
    await other.getByLabel('Your name').fill('M. Lund');
    await button(other, 'Keep this correction').click();
    // The visit is offered to be written anew, with what it said.
    await expect.poll(() => other.getByLabel('Thickness, inches').inputValue()).toBe('0.5');
    await button(other, 'Back').click();
    await expect.poll(() => other.locator('.entry.corrected .entry-words').count()).toBe(1);
    await expect.poll(() => page.locator('.log-strip').textContent(), SLOW).toMatch(/2 entries/);
    // Nothing is left to go by but the findings that came with the map.
    await expect.poll(() => page.locator('.how-full').textContent()).toContain('The log book has none yet');
    await noFault(other);
    await noFault(page);
  });

  test('by keyboard: something done, work to do and closing it, the filter', async () => {
    const page = await open(DESK);
    await howFull(page);
    await button(page, 'Log book').first().press('Enter');
    await button(page, 'Something done').press('Enter');
    await page.getByLabel('What was done').selectOption('pump-out');
    await page.getByLabel('Where').selectOption('SEP-1');
    await page.getByLabel('Your name').fill('L. Brandt');
    await page.getByRole('button', { name: 'Keep this', exact: true }).press('Enter');
    await expect.poll(() => page.locator('.entry-words').first().textContent()).toBe('Pumped out Main separator');
    await button(page, 'Work to do').press('Enter');
    await page.getByRole('button', { name: 'Keep this', exact: true }).press('Enter');
    await expect.poll(() => page.locator('.form-trouble').textContent()).toBe('Write what has to be done.');
    await page.getByLabel('What has to be done').fill('Mend the hose at pump 2');
    await page.getByLabel('By when').fill('2027-02-01');
    await page.getByRole('button', { name: 'Keep this', exact: true }).press('Enter');
    await expect.poll(() => page.locator('.entry').count()).toBe(2);
    await page.getByLabel('Words in it').fill('hose');
    await expect.poll(() => page.locator('.entry').count()).toBe(1);
    // The first one empties the field.
    await page.keyboard.press('Escape');
    await page.keyboard.press('Escape');
    await expect.poll(() => page.locator('.log-book[open]').count()).toBe(0);
    await expect.poll(() => page.locator('.answer').textContent()).toMatch(/pumped out on/);
    await button(page, 'It is done').press('Enter');
    await page.getByRole('button', { name: 'Keep this', exact: true }).press('Enter');
    await expect.poll(() => page.locator('.kept-note').textContent()).toContain('The work is closed.');
    await page.keyboard.press('Escape');
    await expect.poll(() => button(page, 'It is done').count()).toBe(0);
    await isInBook(3);
    expect((await entriesOf()).at(-1)?.body).toMatchObject({ closed: expect.any(String), closes: expect.any(String) });
    await noFault(page);
  });

  test('on a slow network a visit is kept at once, and once, however often one taps and reloads', async () => {
    const page = await open(PHONE);
    await howFull(page);
    await page.route('**/api/photos?*', async (route) => {
      await new Promise((resolve) => setTimeout(resolve, 2500));
      await route.continue();
    });
    await writeVisit(page, '0.5');
    await page.locator('input[type=file][accept*=jpeg]').setInputFiles(PHOTO);
    await button(page, 'Keep this visit').dblclick();
    await page.locator('.kept-note').waitFor({ timeout: 2000 });
    await reload(page);
    await page.locator('.how-full').getByRole('button', { name: 'Log a visit' }).click();
    await page.getByLabel('Where').waitFor();
    expect(await page.locator('.draft-note').count()).toBe(0);
    await expect.poll(async () => (await entriesOf()).length, SLOW).toBe(1);
    await page.waitForTimeout(3000);
    expect(await entriesOf()).toHaveLength(1);
    expect(faults).toEqual([]);
  });

  test('what one person may not send waits for another, and what a proxy refuses can be sent again', async () => {
    const page = await open(DESK);
    await howFull(page);
    let refusal: { status: number; contentType: string; body: string } | null = {
      status: 403,
      contentType: 'application/problem+json',
      body: JSON.stringify({ problems: [{ code: 'not-allowed', message: 'a viewer may not do this', cure: 'ask' }] }),
    };
    await page.route('**/api/entries', (route) =>
      refusal && route.request().method() === 'POST' ? route.fulfill(refusal) : route.continue(),
    );
    await writeVisit(page, '0.5');
    await keep(page);
    await page.locator('.kept-note').waitFor();
    await expect.poll(() => page.locator('.entry em').allTextContents()).toEqual(['waits to be sent']);
    refusal = { status: 413, contentType: 'text/html', body: 'too large' };
    await page.locator('.log-book').getByRole('button', { name: 'Send now' }).click();
    await expect.poll(() => page.locator('.entry em').allTextContents()).toEqual(['refused']);
    refusal = null;
    await button(page, 'Send it again').click();
    await expect.poll(async () => (await entriesOf()).length, SLOW).toBe(1);
    await expect.poll(() => page.locator('.entry em').count()).toBe(0);
  });

  test('a photo for which the site has no room is told plainly, and its visit stays on the device', async () => {
    await book.kill();
    process.env.OILSHED_PHOTO_QUOTA = '10kB';
    book = await serveBook(data).finally(() => delete process.env.OILSHED_PHOTO_QUOTA);
    const page = await open(PHONE);
    await howFull(page);
    await writeVisit(page, '0.5');
    await page.locator('input[type=file][accept*=jpeg]').setInputFiles(PHOTO);
    await page.locator('.photos img').waitFor();
    await keep(page);
    await page.locator('.kept-note').waitFor();
    await button(page, 'Close').click();
    await button(page, /^Log book/)
      .first()
      .click();
    await expect.poll(() => page.locator('.entry em').allTextContents(), SLOW).toEqual(['refused']);
    expect(await page.locator('.entry .form-errors p').textContent()).toBe(
      'photos: the photos of tarn-lane-depot would take more than the 10 kB that they may; send fewer or smaller photos, or ask who runs the server for more room (serve --photo-quota).',
    );
    await noFault(page);
    expect(await entriesOf()).toEqual([]);
  });

  test('an entry belongs to the yard it was written for, whichever is open when it is sent', async () => {
    const page = await open(DESK);
    await page.route('**/api/entries', async (route) => {
      if (route.request().method() === 'POST') await new Promise((resolve) => setTimeout(resolve, 400));
      await route.continue();
    });
    await button(page, /^Keep these 4 findings in the log book/).click();
    await page.locator('.yard-menu select').selectOption('two-bay-garage');
    await expect.poll(async () => (await entriesOf()).length, SLOW).toBe(4);
    const others = await (await fetch(`${book.address}/api/entries`)).json();
    expect(new Set((others as { entries: SealedEntry[] }).entries.map(({ site }) => site))).toEqual(new Set([SITE]));
  });

  test('a spill goes into the log book; saved again it takes the place of what was saved before', async () => {
    const page = await open(PHONE);
    await page.goto(`${book.address}/#spill=Z1`);
    await button(page, /^diesel/).click();
    await button(page, /^A drum/).click();
    await button(page, /^It is running/).click();
    await page.locator('.elapsed').waitFor();
    await button(page, 'Save this spill').click();
    await expect.poll(() => page.locator('.save-spill').textContent()).toContain('It is in the log book');
    await page.getByLabel('Your name').fill('J. Ortega');
    await button(page, 'Save this spill').click();
    await expect
      .poll(async () => (await entriesOf()).map((entry) => [entry.kind, entry.by, subjectOf(entry) ?? noteOf(entry)]))
      .toEqual([
        // Told as it began, so that other phones see it; the first that is saved takes its place.
        ['spill', 'not named', 'Z1'],
        ['spill', 'not named', 'Z1'],
        ['correction', 'not named', 'Written anew'],
        ['spill', 'J. Ortega', 'Z1'],
        ['correction', 'J. Ortega', 'Written anew'],
      ]);
    const kept = await entriesOf();
    expect([kept[2], kept[4]].map(correctedBy)).toEqual([kept[0].id, kept[1].id]);
    expect(faults).toEqual([]);
  });

  test('findings go into the log book, and come back out of it', async () => {
    const page = await open(DESK);
    await button(page, /^Keep these 4 findings in the log book/).click();
    await expect.poll(async () => (await entriesOf()).length).toBe(4);
    await expect.poll(() => button(page, /in the log book$/).count()).toBe(0);
    const found = { at: 'CB-5', since: '2026-06-15', seenAt: '2026-09-15', seen: 'oil' };
    const entry = {
      id: uuidV7(Date.now(), randomBytes(10)),
      site: SITE,
      kind: 'finding',
      at: '2026-09-15',
      by: 'P. Ward',
    };
    const headers = { 'content-type': 'application/json' };
    const reply = await fetch(`${book.address}/api/entries`, {
      method: 'POST',
      headers,
      body: JSON.stringify({ ...entry, body: found }),
    });
    expect(reply.status).toBe(201);
    // It is heard of without asking.
    await button(page, /^Ask about the log book’s 5 findings/).click();
    await expect.poll(() => page.locator('.findings .finding-row').count()).toBe(5);
    await expect
      .poll(() =>
        button(page, /log book/i)
          .and(page.locator('.finding-acts button'))
          .count(),
      )
      .toBe(0);
    expect(faults).toEqual([]);
  });

  test('people sign in; a viewer reads and cannot write', async () => {
    const add = (name: string, role: string) =>
      spawnSync(
        process.execPath,
        [join(root, 'dist/cli/oilshed.js'), 'people', 'add', name, '--role', role, '--data', data],
        { input: 'a long enough word\n', encoding: 'utf8' },
      );
    expect([add('R. Calloway', 'manager').status, add('P. Ward', 'viewer').status]).toEqual([0, 0]);
    const page = await open(DESK);
    await button(page, 'Log book').first().click();
    await page.getByLabel('Name', { exact: true }).fill('P. Ward');
    await page.getByLabel('Password').fill('a wrong long word');
    await button(page, 'Sign in').click();
    await expect.poll(() => page.locator('.form-errors').textContent()).toMatch(/wrong/);
    await noFault(page);
    await page.getByLabel('Password').fill('a long enough word');
    await button(page, 'Sign in').click();
    await expect.poll(() => page.locator('.signed-in').textContent()).toMatch(/Signed in as P. Ward \(viewer\)/);
    expect(await button(page, 'Log a visit').count()).toBe(0);
    await button(page, 'Sign out').click();
    await page.getByLabel('Password').waitFor();
    expect(faults).toEqual([]);
  });
});
