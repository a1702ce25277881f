import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, beforeEach, expect, test } from 'vitest';
import { listen } from '../../../src/faces/server/listen.ts';
import { type LogBook, openLogStore } from '../../../src/store/index.ts';
import { madeEntry } from '../../log-book/made.ts';
import { launchBrowser, root } from '../../support/browser.ts';
import { textsIn } from '../../support/pseudo.ts';
import { escapedOnPage, speakPseudo } from '../../support/pseudo-page.ts';
import { addPeople, MADE_PEOPLE } from '../server/made-people.ts';

/** The depot's own names, and what the test itself writes. */
const NAMES = [
  ...textsIn(JSON.parse(readFileSync('site-maps/freight-depot.geojson', 'utf8'))),
  ...Object.values(MADE_PEOPLE).map(({ name }) => name),
  ...['tarn-lane-depot', 'Mend the hose', 'The other one', 'rain gauge', 'Chrome', 'Linux'],
];

let browser: Browser;
let folder: string;
let book: LogBook;
let server: Awaited<ReturnType<typeof listen>>;
beforeAll(async () => {
  browser = await launchBrowser();
});
afterAll(() => browser?.close());
beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), 'oilshed-log-languages-'));
  book = await openLogStore({ folder });
  server = await listen({ root, log: book });
});
afterEach(async () => {
  for (const context of browser.contexts()) await context.close();
  await server.close();
  await book.close();
  rmSync(folder, { recursive: true, force: true });
});

const button = (page: Page, name: string | RegExp) => page.locator('.log-book').getByRole('button', { name });

test('the screens of the log book and of one’s account say nothing but by the catalogue', {
  timeout: 120_000,
}, async () => {
  await addPeople(book);
  await book.add(madeEntry(1, { site: 'tarn-lane-depot', by: 'J. Ortega', body: { at: 'SEP-1', note: '' } }));
  const context = await browser.newContext({ serviceWorkers: 'block', reducedMotion: 'reduce' });
  await speakPseudo(context);
  const page = await context.newPage();
  const names = [...NAMES, ...(await book.heads()).flatMap(({ hash }) => hash ?? [])];
  const escaped: Record<string, string[]> = {};
  const look = async (screen: string, part = '.log-book') => {
    const words = await escapedOnPage(page, names, part);
    if (words.length > 0) escaped[screen] = words;
  };
  const show = async (name: string | RegExp, screen: string) => {
    await button(page, name).first().click();
    await look(screen);
  };
  await page.goto(server.address);
  await page.locator('.zones .zone-row').first().waitFor();
  await page.locator('.log-strip button').first().click();
  await page.getByLabel('Name').first().fill('M. Lund');
  await page.getByLabel('Password').fill('a wrong long word');
  await button(page, 'Sign in').click();
  await page.locator('.form-errors').waitFor();
  await look('a wrong password');
  await page.getByLabel('Password').fill(MADE_PEOPLE.manager.password);
  await button(page, 'Sign in').click();
  await page.locator('.entry').waitFor();
  await look('the list');
  await look('the strip', '.log-strip');
  await page.locator('.entry summary').click();
  await page.locator('.hash').waitFor();
  await look('an entry');
  await show('Correct it', 'a correction');
  await show('Keep this correction', 'a correction that says nothing');
  await show('Back', 'the list again');

  await show('Log a visit', 'a visit');
  await show('Keep this visit', 'a visit that says nothing');
  await page.locator('select').last().selectOption('SEP-1');
  await page.getByLabel('Thickness').fill('1');
  await show('Adrift', 'a visit of a separator');
  await show('One chamber more', 'a visit of two chambers');
  await show('Keep this visit', 'a visit that lacks a chamber');
  await show('One chamber fewer', 'a visit of one chamber');
  await show('Keep this visit', 'a visit that was kept');
  await page.locator('.kept-note').waitFor();
  await show('Something done', 'something done');
  await page.getByLabel('Taken out in all').fill('-1');
  await show('Keep this', 'something done with a wrong number');
  await page.getByLabel('Taken out in all').fill('20');
  await show('Keep this', 'what was done');
  await show('Work to do', 'work to do');
  await show('Keep this', 'work that says nothing');
  await page.getByLabel('What has to be done').fill('Mend the hose');
  await page.getByLabel('By when').fill('2027-02-01');
  await show('Keep this', 'work that was kept');

  await show('Your account', 'one’s account');
  await page.locator('.account-list li').first().waitFor();
  await look('one’s account');
  await page.getByLabel('What it is for').fill('rain gauge');
  await button(page, 'Make a token').click();
  await page.locator('.made-token').waitFor();
  await look('a token');
  await page.getByLabel('Password now').fill('not this one at all');
  await page.getByLabel('New password').fill('short');
  await button(page, 'Change password').click();
  await page.locator('.account .form-errors').waitFor();
  await look('a refused password');
  expect(escaped).toEqual({});
});
