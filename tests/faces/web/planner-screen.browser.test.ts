import { readdirSync, readFileSync } from 'node:fs';
import { AxeBuilder } from '@axe-core/playwright';
import type { Browser, BrowserContextOptions, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, describe, expect, test } from 'vitest';
import { root, startApp } from '../../support/browser.ts';

const PHONE = { viewport: { width: 360, height: 740 }, hasTouch: true, isMobile: true };
const DESK = { viewport: { width: 1440, height: 900 } };
const SLOW = { timeout: 40_000 };

let server: Awaited<ReturnType<typeof startApp>>['server'];
let browser: Browser;
let page: Page;
let fetched: string[] = [];
const faults: string[] = [];

beforeAll(async () => {
  ({ server, browser } = await startApp());
});

afterAll(async () => {
  await browser?.close();
  await server?.close();
});

afterEach(async () => {
  await page?.context().close();
});

async function open(options: BrowserContextOptions): Promise<void> {
  const context = await browser.newContext({ reducedMotion: 'reduce', serviceWorkers: 'block', ...options });
  page = await context.newPage();
  fetched = [];
  page.on('request', (request) => void fetched.push(request.url()));
  page.on('pageerror', ({ message }) => void faults.push(message));
  page.on('console', (message) => {
    if (message.type() === 'error') faults.push(message.text());
  });
  await page.goto(server.address);
  await page.locator('.zones .zone-row').first().waitFor();
}

const words = async (selector: string) => (await page.locator(selector).first().textContent()) ?? '';
const answered = (pattern: RegExp) => expect.poll(() => words('.answer'), SLOW).toMatch(pattern);
const settled = () => expect.poll(() => page.locator('.answer').getAttribute('aria-busy'), SLOW).toBe('false');
const solverWas = (file: RegExp) => fetched.some((url) => file.test(url));

async function noFault(): Promise<void> {
  const { violations } = await new AxeBuilder({ page }).analyze();
  expect(violations.map(({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html).join(' ')}`)).toEqual([]);
}

/** The curve alone takes some seconds. */
const LONG_MS = 90_000;

describe('the planner', { timeout: LONG_MS }, () => {
  test('places kits by keyboard, on the map and in the list; the solver comes only when it is asked for', async () => {
    await open(DESK);
    expect(solverWas(/planner-worker|\.wasm$/)).toBe(false);
    await page.getByRole('button', { name: 'Prepare', exact: true }).press('Enter');
    await answered(/^Put a kit at [A-Z]/);
    expect(solverWas(/\.wasm$/)).toBe(true);
    // Three stand in the depot and are kept.
    expect(await page.locator('.kit-list > li').count()).toBe(4);
    expect(await page.locator('[data-kit]').count()).toBe(4);
    expect(await page.locator('.kit-line').count()).toBe(16);
    expect(await words('.kit-list')).toMatch(/Without it the mean walk is \d\.\d+ min instead of \d\.\d+\./);

    const more = page.getByRole('button', { name: 'One kit more' });
    await more.press('Enter');
    await answered(/^Put kits at .+ and .+\.$/);
    for (let press = 0; press < 6; press++) await more.press('Enter');
    // Six spots are drawn: there it ends, and the button keeps the focus.
    await expect.poll(() => page.locator('.kit-list > li').count(), SLOW).toBe(9);
    expect(await more.evaluate((button) => button === document.activeElement)).toBe(true);
    await page.getByLabel('Keep the 3 kits that stand').press('Space');
    await expect.poll(() => page.locator('.kit-list > li').count(), SLOW).toBe(6);

    await page.getByLabel('Within so many minutes').fill('0.1');
    await expect.poll(() => words('.plan-more'), SLOW).toMatch(/^A kit is then \d\.\d min away .+ Beyond 0\.1 min: /);
    expect(await page.locator('.kit-list > li').count()).toBe(6);
    await page.locator('.kit-list .plan-row').first().press('Enter');
    expect(await page.locator('.kit-line.picked').count()).toBeGreaterThan(0);
    const rule = page.locator('.plan-hint');
    expect(await rule.first().textContent()).toContain('25 ft');
    await page.getByRole('button', { name: 'Hide this' }).press('Enter');
    expect(await rule.count()).toBe(0);
    expect(faults).toEqual([]);
  });

  test('says what to buy for the money, what that does, and prints it all on one page', async () => {
    await open(DESK);
    await page.getByRole('button', { name: 'Prepare', exact: true }).click();
    await answered(/^Put a kit/);
    await page.getByRole('button', { name: 'Keep oil out' }).click();
    await answered(/^\$[\d,]+ keeps [\d.]+ gal of [\d.]+ gal a year out/);
    await page.getByLabel('First year, USD').fill('1000');
    await answered(/^\$(\d{3}|1,000) keeps /);
    expect(await page.locator('[data-measure]').count()).toBe(await page.locator('.kit-list > li').count());
    await page.getByLabel('Money for it').fill('100');
    await answered(/^\$349,149 keeps /);
    expect(await page.locator('.ends tbody tr').first().textContent()).toMatch(/gal.+ to .+gal/);
    await page.locator('svg.curve').waitFor(SLOW);
    // Other questions are answered as before.
    await page.getByRole('button', { name: 'Spill now' }).click();
    await answered(/^Where is it\?$/);
    await page.getByRole('button', { name: 'Prepare', exact: true }).click();
    await answered(/^\$349,149 keeps /);

    const download = page.waitForEvent('download');
    await page.getByRole('button', { name: 'Shopping list (CSV)' }).click();
    const list = readFileSync(await (await download).path(), 'utf8').split('\r\n');
    expect(list[0]).toContain('what,where,id');
    expect(list.filter((line) => line.startsWith('New kit,'))).toHaveLength(1);
    expect(list.filter((line) => line.startsWith('Sweeping,')).length).toBeGreaterThan(3);

    for (const format of ['A4', 'Letter']) {
      const pdf = await page.pdf({ format });
      expect(pdf.toString('latin1').match(/\/Type\s*\/Page\b/g)).toHaveLength(1);
    }
    await page.evaluate(() => void dispatchEvent(new Event('beforeprint')));
    expect(await words('.paper h2')).toMatch(/^Put a kit at /);
    expect(await words('.paper footer')).toMatch(/version [0-9a-f]{12}:.+ Printed /);
    expect(await page.locator('.paper [data-kit]').count()).toBe(4);
    expect(await page.locator('.paper [data-measure]').count()).toBeGreaterThan(20);
  });

  test.each(['light', 'dark'] as const)(
    'on a phone in %s axe finds no fault, and nothing is wide or low',
    async (colorScheme) => {
      await open({ ...PHONE, colorScheme });
      await page.getByRole('button', { name: 'Prepare', exact: true }).tap();
      await answered(/^Put a kit/);
      for (const part of ['Where kits stand', 'Keep oil out']) {
        await page.getByRole('button', { name: part }).tap();
        await page.locator('.kit-list > li').first().waitFor(SLOW);
        await settled();
        await noFault();
        expect(await page.evaluate(() => document.querySelector('.column-inner')?.scrollWidth)).toBeLessThanOrEqual(
          360,
        );
        const low = await page.evaluate(() =>
          [...document.querySelectorAll<HTMLElement>('.plan :is(button, select, a, input, summary)')]
            .map((each) => (each.matches('[type=checkbox]') ? (each.closest('label') ?? each) : each))
            .filter((each) => each.getBoundingClientRect().height < 44)
            .map((each) => each.outerHTML.slice(0, 80)),
        );
        expect(low).toEqual([]);
      }
    },
  );

  test('a yard without spots or kits is planned too: places go by their letters', async () => {
    await open(DESK);
    const map = JSON.parse(readFileSync(`${root}/site-maps/two-bay-garage.geojson`, 'utf8'));
    map.features = map.features.filter(
      ({ properties }: { properties: { kind: string } }) => !['kit', 'kit-spot'].includes(properties.kind),
    );
    const buffer = Buffer.from(JSON.stringify(map));
    await page.setInputFiles('input[type=file]', { name: 'bare.geojson', mimeType: 'application/json', buffer });
    await expect.poll(() => page.locator('.strip').count(), SLOW).toBe(0);
    await page.getByRole('button', { name: 'Prepare', exact: true }).click();
    await answered(/^Put a kit at place A\.$/);
    expect(await words('.plan .problems')).toContain('The map has no kit-spots');
    expect(await page.locator('.stepper + .one-spill').count()).toBe(0);
  });

  test('the solver is among what is stored for use without a network', () => {
    const [wasm] = readdirSync(`${root}/dist/web/assets`).filter((name) => name.endsWith('.wasm'));
    expect(wasm).toBeDefined();
    expect(readFileSync(`${root}/dist/web/sw.js`, 'utf8')).toContain(wasm);
  });
});
