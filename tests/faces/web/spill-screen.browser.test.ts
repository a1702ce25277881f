import { readFileSync } from 'node:fs';
import { AxeBuilder } from '@axe-core/playwright';
import type { Browser, BrowserContextOptions, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, describe, expect, test } from 'vitest';
import { listen } from '../../../src/faces/server/listen.ts';
import { root, startApp } from '../../support/browser.ts';

const PHONE = { viewport: { width: 360, height: 740 }, hasTouch: true, isMobile: true };
const SLOW = { timeout: 20_000 };
const START = new Date('2026-05-30T14:00:00-06:00');

let server: Awaited<ReturnType<typeof startApp>>['server'];
let browser: Browser;
let page: Page;

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

async function open(hash = '', options: BrowserContextOptions = {}): Promise<Page> {
  const context = await browser.newContext({ reducedMotion: 'reduce', ...PHONE, ...options });
  page = await context.newPage();
  await page.goto(`${server.address}/${hash}`);
  return page;
}

const words = async (selector: string) => (await page.locator(selector).first().textContent()) ?? '';
const answered = (pattern: RegExp) => expect.poll(() => words('.answer'), SLOW).toMatch(pattern);

/** Touches the ground of a zone on the map, at a part of its width and height. */
async function touchZone(id: string, [across, down]: [number, number]): Promise<void> {
  const box = await page.locator(`.ground [data-zone="${id}"] .zone`).boundingBox();
  if (!box) throw new Error(`${id} is not drawn`);
  await page.touchscreen.tap(box.x + box.width * across, box.y + box.height * down);
}

describe('a spill on a phone', () => {
  test('two touches give the answer: where, and how much', async () => {
    await open('#spill=Z1');
    await answered(/^A spill on Fuel island: close the valve V-1 all the same, and call\./);
    await touchZone('Z4', [0.1, 0.5]);
    await answered(/^A spill on Trailer row A: close the valve V-1 now\./);
    expect(await page.locator('.spilled').count()).toBe(1);
    const before = await page.locator('.arrival-row .row-range').allTextContents();
    await page.getByRole('button', { name: /^A hose/ }).tap();
    await expect.poll(() => page.locator('.arrival-row .row-range').allTextContents()).not.toEqual(before);
    // What to do stands above the questions without a drag, with its deadline.
    const [step, tabs] = [
      await page.locator('.orders li').first().boundingBox(),
      await page.locator('.questions').boundingBox(),
    ];
    expect((step?.y ?? 999) + (step?.height ?? 999)).toBeLessThanOrEqual(tabs?.y ?? 0);
    expect(await words('.orders .action')).toMatch(
      /Oil is there no sooner than in \d+ min; you can be done in \d+ min\./,
    );
  });

  test('the clock counts down by the time of day, survives a reload, and is saved for the log book', async () => {
    const context = await browser.newContext({ ...PHONE, reducedMotion: 'reduce', timezoneId: 'America/Denver' });
    page = await context.newPage();
    await page.clock.install({ time: START });
    await page.goto(`${server.address}/`);
    await page.getByRole('button', { name: 'Spill now' }).tap();
    await page.locator('.orders .action').waitFor();
    await touchZone('Z4', [0.1, 0.5]);
    await answered(/Trailer row A/);
    const minutes = Number(/no sooner than in (\d) min/.exec(await words('.orders .action'))?.[1]);
    await page.getByRole('button', { name: 'It is real: start the clock' }).tap();
    await answered(/^Now: close the valve V-1\./);
    // As a phone that sleeps: no tick comes for a while, and then the time has gone on.
    await page.clock.fastForward((minutes - 1) * 60_000);
    await expect.poll(() => words('.orders .deadline'), SLOW).toMatch(/^Oil in \d+ s, at 14:0\d\.$/);
    await expect.poll(() => words('.arrival-row strong'), SLOW).toBe('oil can be there');
    expect(await page.locator('.front-way').count()).toBeGreaterThan(2);
    // A stray touch does not move a real spill.
    await touchZone('Z5', [0.5, 0.5]);
    expect(await words('.answer')).toMatch(/^Now: close/);

    await page.reload();
    await answered(/^Now: close the valve V-1\./);
    expect(await words('.elapsed')).toMatch(/^\d:\d\d/);
    await page.getByRole('button', { name: 'Placed: Close the valve V-1' }).tap();
    await answered(/^All is in place\./);
    expect(await page.locator('.act-ring.done .seen-tick').count()).toBe(1);
    await page.locator('.call', { hasText: '555-0112' }).evaluate((link) => {
      link.addEventListener('click', (event) => event.preventDefault());
      (link as HTMLElement).click();
    });
    await page.getByLabel('Your name').fill('J. Ortega');
    const download = page.waitForEvent('download');
    await page.getByRole('button', { name: 'Save this spill' }).tap();
    const entry = JSON.parse(readFileSync(await (await download).path(), 'utf8'));
    expect(Object.keys(entry)).toEqual(['id', 'site', 'kind', 'at', 'by', 'body', 'photos']);
    expect(entry).toMatchObject({
      site: 'tarn-lane-depot',
      kind: 'spill',
      at: expect.stringMatching(/^2026-05-30T14:00:\d\d-06:00$/),
      by: 'J. Ortega',
    });
    expect(entry.body.placed).toMatchObject([{ at: 'V-1', control: 'valve' }]);
    expect(entry.body.called).toMatchObject([{ role: 'fire service', phone: '555-0112' }]);
    expect(entry.body.point).toHaveLength(2);
    await page.getByRole('button', { name: 'End this spill' }).tap();
    await page.getByRole('button', { name: 'End it' }).tap();
    await answered(/^A spill on Trailer row A/);
    await page.reload();
    await page.locator('form.spill').waitFor();
    expect(await page.locator('.elapsed').count()).toBe(0);
  });

  test('gasoline: out and call, with the call in reach', async () => {
    await open('#spill=Z11');
    await answered(/Drum store/);
    // Gasoline is one of several fluids here, so none is taken for granted.
    expect(await page.getByLabel('What was spilled').inputValue()).toBe('');
    expect(await words('.advice')).toContain('If this is gasoline');
    await page.getByLabel('What was spilled').selectOption('gasoline');
    await answered(/no one goes near gasoline/);
    expect(await page.locator('.orders').count()).toBe(0);
    await page.locator('.column-inner').evaluate((column) => column.scrollTo(0, 0));
    const call = page.locator('.call').first();
    expect(await call.getAttribute('href')).toBe('tel:5550112');
    const [link, tabs] = [await call.boundingBox(), await page.locator('.questions').boundingBox()];
    expect(link?.height).toBeGreaterThanOrEqual(56);
    expect((link?.y ?? 999) + (link?.height ?? 999)).toBeLessThanOrEqual(tabs?.y ?? 0);
  });

  test.each([
    ['is told by the device', [-104.2735, 40.9609], true, /^Within about 16 ft\./],
    ['is off the map', [8.5, 47.3], true, /from this yard\. Tap the place on the map instead\.$/],
    ['is refused', [0, 0], false, /not allowed to tell where it is\. Tap the place on the map instead\.$/],
  ] as const)('“here” where the place %s', async (_, [longitude, latitude], isAllowed, said) => {
    await open('#spill=Z1', {
      geolocation: { longitude, latitude, accuracy: 5 },
      permissions: isAllowed ? ['geolocation'] : [],
    });
    await answered(/Fuel island/);
    await page.getByRole('button', { name: 'Here, where I am' }).tap();
    await expect.poll(() => words('.where [role=status]'), SLOW).toMatch(said);
    expect(await page.locator('.spilled').count()).toBe(said.source.startsWith('^Within') ? 1 : 0);
  });

  test('an address of a zone that is not here is said so', async () => {
    await open('#spill=Z99');
    await expect.poll(() => words('.notice h2'), SLOW).toBe('Tarn Lane Depot has no zone Z99.');
    expect(await page.locator('.questions [aria-current]').textContent()).toBe('Spill now');
    await page.evaluate(() => {
      location.hash = '#spill=Z12';
    });
    await answered(/^A spill on Scrap corner/);
  });

  test('while the clock runs axe finds no fault, nothing is wide or low, and the keyboard ticks', async () => {
    await open('#spill=Z4');
    await answered(/Trailer row A/);
    await page.getByRole('button', { name: 'It is real: start the clock' }).tap();
    await answered(/^Now: /);
    for (const summary of await page.locator('.fold summary').all()) await summary.click();
    const { violations } = await new AxeBuilder({ page }).analyze();
    expect(violations.map(({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html).join(' ')}`)).toEqual([]);
    expect(await page.evaluate(() => document.querySelector('.column-inner')?.scrollWidth)).toBeLessThanOrEqual(360);
    const low = await page.evaluate(() =>
      [...document.querySelectorAll<HTMLElement>('.column :is(button, select, a, input, summary)')]
        .filter((each) => !each.matches('.handle') && each.offsetParent && each.getBoundingClientRect().height < 44)
        .map((each) => each.outerHTML.slice(0, 80)),
    );
    expect(low).toEqual([]);
    await page.getByRole('button', { name: /^Placed: / }).focus();
    await page.keyboard.press('Enter');
    await expect.poll(() => page.locator('.step.done').count()).toBe(1);
  });
});

/** Run in the page: the file name of the yard that its database keeps. */
const keptFile = () =>
  new Promise((resolve) => {
    const opening = indexedDB.open('oilshed');
    opening.onsuccess = () => {
      const got = opening.result.transaction('yard').objectStore('yard').get('last');
      got.onsuccess = () => {
        opening.result.close();
        resolve((got.result as { fileName?: string } | undefined)?.fileName);
      };
    };
  });

describe('without a network', () => {
  test('after the first visit the page opens and answers with the server gone, the user’s own map too', async () => {
    const own = await listen({ root });
    const context = await browser.newContext(PHONE);
    page = await context.newPage();
    const faults: string[] = [];
    page.on('pageerror', ({ message }) => void faults.push(message));
    await page.goto(own.address);
    await page.locator('.zones .zone-row').first().waitFor();
    await page.evaluate(async () => void (await navigator.serviceWorker.ready));
    await own.close();
    await page.goto(`${own.address}/#spill=Z12`);
    await page.reload();
    await answered(/^A spill on Scrap corner: cover CB-11 all the same/);
    await page.locator('.yard-menu select').selectOption('gravel-haul-yard');
    await expect.poll(() => page.locator('.ground [data-zone]').count(), SLOW).toBe(8);
    const name = 'mine.geojson';
    const text = readFileSync(`${root}/site-maps/two-bay-garage.geojson`, 'utf8');
    await page.setInputFiles('input[type=file]', { name, mimeType: 'application/json', buffer: Buffer.from(text) });
    await expect.poll(() => page.locator('.strip').count(), SLOW).toBe(0);
    const zones = await page.locator('.ground [data-zone]').count();
    await expect.poll(() => page.evaluate(keptFile), SLOW).toBe(name);
    await page.goto(`${own.address}/`);
    await page.reload();
    await expect.poll(() => page.locator('.ground [data-zone]').count(), SLOW).toBe(zones);
    expect(await page.locator('.strip').count()).toBe(0);
    expect(faults).toEqual([]);
  });
});
