import { readFileSync } from 'node:fs';
import type { Browser, BrowserContext, BrowserContextOptions, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, describe, expect, test } from 'vitest';
import { root, startApp } from '../../support/browser.ts';

const SLOW = { timeout: 20_000 };
const PHONE = { viewport: { width: 360, height: 740 }, hasTouch: true, isMobile: true };

let server: Awaited<ReturnType<typeof startApp>>['server'];
let browser: Browser;
let context: BrowserContext;
const faults: string[] = [];

beforeAll(async () => {
  ({ server, browser } = await startApp());
});
afterAll(async () => {
  await browser?.close();
  await server?.close();
});
afterEach(async () => {
  await context?.close();
  expect(faults.splice(0)).toEqual([]);
});

async function device(options: BrowserContextOptions = {}): Promise<void> {
  context = await browser.newContext({
    viewport: { width: 1280, height: 800 },
    locale: 'en-US',
    reducedMotion: 'reduce',
    serviceWorkers: 'block',
    ...options,
  });
}

async function tab(hash = ''): Promise<Page> {
  const page = await context.newPage();
  page.on('pageerror', ({ message }) => void faults.push(message));
  await page.goto(`${server.address}/${hash}`);
  await page.locator('main h1').waitFor(SLOW);
  return page;
}

const hashOf = (page: Page) => page.evaluate(() => location.hash);
const findingsIn = (page: Page) =>
  page.locator('[data-finding]').evaluateAll((all) => all.map((each) => each.getAttribute('data-finding')));
const settings = (page: Page) => page.locator('.top-acts button.top-act').nth(1);
const notice = (page: Page) => page.locator('.notice');

/** Adds a finding at the first place that is offered. */
async function addClean(page: Page): Promise<void> {
  const before = (await findingsIn(page)).length;
  await page.locator('section[aria-labelledby=found] > button.more').click();
  await page.locator('.add-finding .finding-acts button').first().click();
  await expect.poll(async () => (await findingsIn(page)).length).toBe(before + 1);
}

describe('an address', { timeout: 60_000 }, () => {
  test('brings language, units and look along, and changes no choice of the device', async () => {
    await device();
    const page = await tab('#/spill/Z1?lang=es&units=si&look=night');
    const shown = () =>
      page.evaluate(() => [document.documentElement.lang, document.documentElement.classList.contains('night')]);
    expect(await shown()).toEqual(['es', true]);
    await page.getByRole('button', { name: /^diésel/ }).click();
    await expect.poll(() => page.getByLabel('O la cantidad exacta, en litros').count(), SLOW).toBe(1);
    expect(await hashOf(page)).toBe('#/spill/Z1?yard=freight-depot&lang=es&units=si&look=night');
    const other = await tab();
    expect(await other.evaluate(() => document.documentElement.lang)).toBe('en');
  });

  test('of an older card is rewritten', async () => {
    await device();
    expect(await hashOf(await tab('#spill=Z1'))).toBe('#/spill/Z1?yard=freight-depot');
  });

  test('opens the demo yard that it names, with the question and the place', async () => {
    await device();
    const page = await tab('#/prepare/measures?yard=gravel-haul-yard');
    await expect.poll(() => page.locator('.yard-menu select').inputValue(), SLOW).toBe('gravel-haul-yard');
    expect(await page.locator('.plan > .choices button').nth(1).getAttribute('aria-pressed')).toBe('true');
  });

  test.each([
    ['a yard', '#/spill/Z1?yard=0badcafe', /^This address is of a yard that is not on this device\.Bring its map/],
    ['a zone', '#/spill/Z99', /has no zone Z99\./],
    ['a place', '#/found/CB-99', /has no place CB-99\./],
    ['a separator', '#/separator/CB-1', /has no separator CB-1\./],
    ['a finding', '#/found?finding=F99', /^The finding F99 of this address is not here\.Findings are kept/],
    ['a question', '#/elsewhere', /^This address says nothing that is known here\.Choose a question/],
  ])('says so where %s is not here, with what to do', async (_, hash, words) => {
    await device();
    const page = await tab(hash);
    await expect.poll(() => notice(page).textContent(), SLOW).toMatch(words);
    await page.locator('.answer').first().waitFor(SLOW);
  });

  test('that waits for its map opens what it names once the map is brought', async () => {
    await device();
    const first = await tab();
    const text = readFileSync(`${root}/site-maps/two-bay-garage.geojson`, 'utf8');
    const bring = (page: Page) =>
      page.setInputFiles('.bring input', {
        name: 'mine.geojson',
        mimeType: 'application/json',
        buffer: Buffer.from(text),
      });
    await bring(first);
    await expect.poll(() => hashOf(first), SLOW).toMatch(/yard=[0-9a-f]{8}/);
    const mark = /yard=([0-9a-f]{8})/.exec(await hashOf(first))?.[1];
    await context.close();
    await device();
    const page = await tab(`#/spill/Z2?yard=${mark}`);
    await expect.poll(() => notice(page).textContent(), SLOW).toContain('not on this device');
    await bring(page);
    await expect.poll(() => hashOf(page), SLOW).toBe(`#/spill/Z2?yard=${mark}`);
    expect(await page.locator('.on-ground').getAttribute('data-zone')).toBe('Z2');
  });

  test('that opens a form has a step before it, so that Back closes the form and stays', async () => {
    await device(PHONE);
    const page = await tab('#/log/visit/SEP-2');
    await page.locator('.log-form').waitFor(SLOW);
    await page.locator('.log-form textarea').fill('a sheen');
    await page.goBack();
    await expect.poll(() => page.locator('dialog[open]').count()).toBe(0);
    expect(await hashOf(page)).toBe('#/separator?yard=freight-depot');
    await page.goForward();
    await expect.poll(() => page.locator('.log-form textarea').inputValue(), SLOW).toBe('a sheen');
    expect(await page.locator('.log-form select').first().inputValue()).toBe('SEP-2');
  });
});

describe('what is typed', { timeout: 60_000 }, () => {
  test('nine lids on a phone are there after a reload, and it is said that they are kept', async () => {
    await device(PHONE);
    const page = await tab();
    await page.locator('section[aria-labelledby=found] > button.more').waitFor(SLOW);
    for (let lid = 0; lid < 9; lid++) await addClean(page);
    const before = await findingsIn(page);
    expect(await page.locator('section[aria-labelledby=found] > [role=status]').textContent()).toBe(
      'Kept on this device.',
    );
    await page.reload();
    await expect.poll(() => findingsIn(page), SLOW).toEqual(before);
  });

  test('in two tabs is put together, and that is said', async () => {
    await device();
    const [one, two] = [await tab(), await tab()];
    const before = await findingsIn(one);
    await addClean(one);
    await expect.poll(async () => (await findingsIn(two)).length, SLOW).toBe(before.length + 1);
    await addClean(two);
    await expect.poll(async () => (await findingsIn(one)).length, SLOW).toBe(before.length + 2);
    expect(await findingsIn(one)).toEqual(await findingsIn(two));
    await expect
      .poll(() => one.locator('section[aria-labelledby=found] > [role=status]').textContent())
      .toContain('another tab');
    await one.reload();
    await expect.poll(async () => (await findingsIn(one)).length, SLOW).toBe(before.length + 2);
  });

  test('of one yard stays with it, and Back brings one’s own map again', async () => {
    await device();
    const page = await tab();
    const text = readFileSync(`${root}/site-maps/two-bay-garage.geojson`, 'utf8').replace(
      /"name": "[^"]*"/,
      '"name": "Ours"',
    );
    const file = { name: 'ours.geojson', mimeType: 'application/json', buffer: Buffer.from(text) };
    await page.setInputFiles('.bring input', file);
    await expect.poll(() => page.locator('.strip').count(), SLOW).toBe(0);
    await addClean(page);
    const ours = await findingsIn(page);
    const hash = await hashOf(page);
    await page.locator('.yard-menu select').selectOption('gravel-haul-yard');
    await expect.poll(() => hashOf(page), SLOW).toContain('gravel-haul-yard');
    expect(await findingsIn(page)).not.toEqual(ours);
    await page.goBack();
    await expect.poll(() => page.locator('.strip').count(), SLOW).toBe(0);
    await expect.poll(() => findingsIn(page), SLOW).toEqual(ours);
    expect(await hashOf(page)).toBe(hash);
  });

  test('is said not to be kept where the browser refuses, and the page goes on', async () => {
    await device();
    await context.addInitScript(() => {
      Storage.prototype.setItem = () => {
        throw new DOMException('full', 'QuotaExceededError');
      };
    });
    const page = await tab();
    await addClean(page);
    await expect
      .poll(() => page.locator('section[aria-labelledby=found] > [role=status]').textContent())
      .toContain('This browser keeps nothing');
    await page.locator('.zones .zone-row').first().waitFor(SLOW);
  });

  test('is forgotten when that is asked for, in every tab', async () => {
    await device();
    const [one, two] = [await tab(), await tab()];
    const before = await findingsIn(one);
    await addClean(one);
    await expect.poll(async () => (await findingsIn(two)).length, SLOW).toBe(before.length + 1);
    await settings(one).click();
    await one.locator('.log-inner > section button.more').click();
    await one.locator('.ending button').first().click();
    for (const page of [one, two]) await expect.poll(() => findingsIn(page).catch(() => null), SLOW).toEqual(before);
    const left = () => one.evaluate(() => Object.keys(localStorage).filter((name) => / /.test(name)));
    expect(await left()).toEqual([]);
  });
});

describe('the language', { timeout: 60_000 }, () => {
  test('is the browser’s, and another is chosen and kept on the device', async () => {
    await device({ ...PHONE, locale: 'es-MX' });
    const page = await tab();
    const language = (of: Page) => of.evaluate(() => document.documentElement.lang);
    expect(await language(page)).toBe('es');
    await settings(page).click();
    await page.getByRole('button', { name: 'English' }).click();
    await expect.poll(() => language(page), SLOW).toBe('en');
    expect(await hashOf(page)).toContain('lang=en');
    expect(await language(await tab())).toBe('en');
  });
});
