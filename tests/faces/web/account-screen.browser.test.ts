import { cpSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { AxeBuilder } from '@axe-core/playwright';
import type { Browser, BrowserContextOptions, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { listen } from '../../../src/faces/server/listen.ts';
import { type LogBook, openLogStore } from '../../../src/store/index.ts';
import { launchBrowser, root } from '../../support/browser.ts';
import { addPeople, MADE_PEOPLE } from '../server/made-people.ts';

const PHONE = { viewport: { width: 360, height: 740 }, hasTouch: true, isMobile: true };
const DESK = { viewport: { width: 1440, height: 900 } };
const FRESH = 'four lids under rain';
/** Pictures of each screen are put there to be looked at. */
const { PICTURES } = process.env;

let browser: Browser;
let folder: string;
let book: LogBook;
let server: Awaited<ReturnType<typeof listen>>;
let faults: string[];
beforeAll(async () => {
  browser = await launchBrowser();
});
afterAll(() => browser?.close());
const start = async (data: string) => {
  book = await openLogStore({ folder: data });
  server = await listen({ root, log: book });
};
const stop = async () => {
  await server.close();
  await book.close();
};
beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), 'oilshed-account-screen-'));
  faults = [];
  await start(join(folder, 'book'));
});
afterEach(async () => {
  for (const context of browser.contexts()) await context.close();
  await stop();
  rmSync(folder, { recursive: true, force: true });
});

async function open(options: BrowserContextOptions): Promise<Page> {
  const context = await browser.newContext({ reducedMotion: 'reduce', serviceWorkers: 'block', ...options });
  const page = await context.newPage();
  page.on('pageerror', ({ message }) => void faults.push(message));
  await page.goto(server.address);
  await page.locator('.zones .zone-row').first().waitFor();
  await button(page, 'Log book').filter({ visible: true }).first().click();
  return page;
}
const button = (page: Page, name: string | RegExp) => page.getByRole('button', { name });

async function signIn(page: Page, { name, password }: { name: string; password: string }): Promise<void> {
  await page.getByLabel('Name', { exact: true }).fill(name);
  await page.getByLabel('Password', { exact: true }).fill(password);
  await button(page, 'Sign in').click();
}

/** Holds a screen against axe and its own width, and every button against a thumb. */
async function noFault(page: Page, picture: string): Promise<void> {
  if (PICTURES) await page.screenshot({ path: join(PICTURES, `${picture}.png`) });
  const { violations } = await new AxeBuilder({ page }).analyze();
  expect(violations.map(({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html).join(' ')}`)).toEqual([]);
  const inner = page.locator('.log-inner');
  expect(await inner.evaluate((element) => element.scrollWidth - element.clientWidth)).toBe(0);
  const heights = await inner.locator('button, select, input:not(.unseen), summary, .one-spill').evaluateAll((all) =>
    all
      .filter((each) => !each.closest('label')?.matches('.one-spill') || each.matches('.one-spill'))
      .filter((each) => each.getClientRects().length > 0)
      .map((each) => `${each.textContent?.slice(0, 30)} ${Math.round(each.getBoundingClientRect().height)}`),
  );
  expect(heights.filter((words) => Number(words.split(' ').at(-1)) < 44)).toEqual([]);
  expect(faults).toEqual([]);
}

describe.each([
  ['phone', PHONE],
  ['desk', DESK],
] as const)('one’s own account on a %s', { timeout: 120_000 }, (device, options) => {
  test('shows where one is signed in and ends it there, changes the password, makes and ends tokens', async () => {
    await addPeople(book);
    await book.people.signIn('M. Lund', MADE_PEOPLE.manager.password, {
      agent: 'Mozilla/5.0 (Android 15; Mobile; rv:144.0) Gecko/144.0 Firefox/144.0',
    });
    await book.people.signIn('J. Ortega', MADE_PEOPLE.crew.password, {
      agent:
        'Mozilla/5.0 (iPhone; CPU iPhone OS 18_0 like Mac OS X) AppleWebKit/605.1.15 Version/18.0 Mobile/15E148 Safari/604.1',
    });
    const page = await open(options);
    await signIn(page, MADE_PEOPLE.manager);
    await button(page, 'Your account').click();
    await page.getByText('Firefox on Android', { exact: true }).waitFor();
    await page.getByText('Everybody who is signed in').click();
    await page.getByText('J. Ortega, Safari on an iPhone').waitFor();
    await noFault(page, `${device}-account`);

    await button(page, 'Sign out Firefox on Android').click();
    await expect.poll(() => page.getByText('Firefox on Android', { exact: true }).count()).toBe(0);
    await button(page, 'Sign out J. Ortega, Safari on an iPhone').click();
    await expect.poll(async () => (await book.people.sessions()).map(({ name }) => name)).toEqual(['M. Lund']);

    await page.getByLabel('Password now').fill('not this one at all');
    await page.getByLabel('New password').fill('short');
    await button(page, 'Change password').click();
    await page.getByText('It is not the password there is now').waitFor();
    await page.getByLabel('Password now').fill(MADE_PEOPLE.manager.password);
    await page.getByLabel('Show what I write').check();
    expect(await page.getByLabel('New password').getAttribute('type')).toBe('text');
    await button(page, 'Change password').click();
    await page.getByText('It has 5 characters; take one of 12 to 200 characters.').waitFor();
    await noFault(page, `${device}-refused`);
    await page.getByLabel('New password').fill(FRESH);
    // By the keyboard alone.
    await page.getByLabel('New password').press('Enter');
    await page.getByText('Your password is changed.').waitFor();
    expect(await page.getByLabel('New password').inputValue()).toBe('');
    expect(await page.getByLabel('New password').getAttribute('type')).toBe('password');
    expect(await book.people.signIn('M. Lund', FRESH)).not.toBeNull();

    await page.getByLabel('What it is for').fill('rain gauge');
    await page.getByLabel('May do as').selectOption('crew');
    await button(page, 'Make a token').click();
    const token = await page.getByLabel('Token rain gauge').inputValue();
    expect(await book.people.tokenHolder(token)).toEqual({ name: 'M. Lund', role: 'crew' });
    await page.getByLabel('Token rain gauge').scrollIntoViewIfNeeded();
    await noFault(page, `${device}-token`);
    await button(page, 'End rain gauge').click();
    expect(await book.people.tokenHolder(token)).not.toBeNull();
    await button(page, 'End rain gauge for good').click();
    await expect.poll(() => book.people.tokenHolder(token)).toBeNull();
    await expect.poll(() => page.getByText('rain gauge').count()).toBe(0);
    await button(page, /^Sign out Chrome/)
      .first()
      .click();
    await page.getByLabel('Password', { exact: true }).waitFor();
    expect(faults).toEqual([]);
  });

  test('an old password that is too short is changed before anything else is shown', async () => {
    await stop();
    cpSync('tests/store/books/book', join(folder, 'old'), { recursive: true });
    await start(join(folder, 'old'));
    const page = await open(options);
    await signIn(page, { name: 'M. Lund', password: 'short-ten1' });
    await page.getByText('Choose another, then the log book opens.').waitFor();
    expect(await page.locator('.entries li').count()).toBe(0);
    expect(await page.locator('.log-acts button').count()).toBe(0);
    await noFault(page, `${device}-must-change`);
    await page.getByLabel('Password now').fill('short-ten1');
    await page.getByLabel('New password').fill(FRESH);
    await button(page, 'Change password').click();
    await page.getByText('Choose another, then the log book opens.').waitFor({ state: 'detached' });
    await expect.poll(() => button(page, 'Log a visit').filter({ visible: true }).count()).toBeGreaterThan(0);
    expect(faults).toEqual([]);
  });

  test('who was away for so long that the session ended signs in again, under the same name', async () => {
    await addPeople(book);
    const page = await open(options);
    await signIn(page, MADE_PEOPLE.crew);
    await page.getByText('Signed in as J. Ortega (crew).').waitFor();
    for (const { id } of await book.people.sessions()) await book.people.endSession(id);
    // The log book is open again, where it was.
    await page.reload();
    await signIn(page, MADE_PEOPLE.crew);
    await page.getByText('Signed in as J. Ortega (crew).').waitFor();
    for (const { id } of await book.people.sessions()) await book.people.endSession(id);
    // The page is still open, and asks the log book for something.
    await page.evaluate(() => dispatchEvent(new Event('online')));
    await signIn(page, MADE_PEOPLE.crew);
    await page.getByText('Signed in as J. Ortega (crew).').waitFor();
    expect(faults).toEqual([]);
  });
});
