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

const button = (name: string | RegExp) => page.getByRole('button', { name, exact: typeof name === 'string' });

/** Says what it is and how much, as on the screen. */
async function tell(fluid: RegExp, amount: RegExp): Promise<void> {
  await button(fluid).tap();
  await button(amount).tap();
}

const isIn = async (selector: string) => {
  const [box, tabs] = [
    await page.locator(selector).first().boundingBox(),
    await page.locator('.questions').boundingBox(),
  ];
  return (box?.y ?? 999) + (box?.height ?? 999) <= (tabs?.y ?? 0);
};

describe('a spill on a phone', () => {
  test('nothing is guessed: no plan before somebody has said where, what and how much', async () => {
    await open();
    await button('Spill now').tap();
    await answered(/^Where is it\?$/);
    expect(await page.locator('.orders, .kept-out').count()).toBe(0);
    await touchZone('Z4', [0.1, 0.5]);
    await expect.poll(() => words('.on-ground'), SLOW).toContain('On Trailer row A');
    await button(/^diesel/).tap();
    expect(await page.locator('.orders, .kept-out').count()).toBe(0);
    await button(/^A drum/).tap();
    await answered(/^A spill on Trailer row A: .+: .+\.$/);
    expect(await page.locator('.spilled').count()).toBe(1);
    expect(await isIn('.kept-out')).toBe(true);
    const before = await words('.kept-out');
    await button(/^A truck’s tank/).tap();
    await expect.poll(() => words('.kept-out'), SLOW).not.toBe(before);
    await button('Another place').tap();
    await answered(/^Where is it\?$/);
  });

  test('one thing after the other, each can be taken back, until it is held; kept through a reload, and saved', async () => {
    const context = await browser.newContext({ ...PHONE, reducedMotion: 'reduce', timezoneId: 'America/Denver' });
    page = await context.newPage();
    await page.clock.install({ time: START });
    await page.goto(`${server.address}/#spill=Z5`);
    await tell(/^diesel/, /^A drum/);
    await page.locator('.kept-out').waitFor();
    await button(/^It is running/).tap();
    await page.locator('.step-answers').waitFor();
    expect(await words('.before-step')).toMatch(/[Gg]loves/);
    const first = await words('.now .answer');
    expect(first).toMatch(/^You: .+\.$/);
    // A stray touch does not move a real spill.
    await touchZone('Z4', [0.1, 0.5]);
    expect(await words('.now .answer')).toBe(first);

    await button(/^Cannot: /)
      .first()
      .tap();
    await expect.poll(() => words('.now .answer'), SLOW).not.toBe(first);
    expect(await words('.said-steps li')).toContain('Cannot be done');
    await button(/^Take back: /).tap();
    await expect.poll(() => words('.now .answer'), SLOW).toBe(first);
    const kept = await words('.kept-litres');
    await page.clock.fastForward(4 * 60_000);
    await button(/^Placed: /)
      .first()
      .tap();
    await expect.poll(() => words('.said-steps li'), SLOW).toContain('In place since 14:04');
    await page.reload();
    await page.locator('.now .answer').waitFor();
    expect(await words('.said-steps li')).toContain('In place since 14:04');
    expect(await words('.elapsed-time')).toMatch(/^4:\d\d$/);
    for (let step = 0; step < 8 && (await page.locator('.step-answers').count()) > 0; step++) {
      const order = await words('.now .answer');
      await page.clock.fastForward(2 * 60_000);
      await button(/^Placed: /)
        .first()
        .tap();
      await expect.poll(() => words('.now .answer'), SLOW).not.toBe(order);
    }
    // Never "all is in place" while oil runs on: held, or handed over.
    expect(await words('.now .answer')).toMatch(/^(Held:|Nothing left to place helps\.)/);
    expect(kept).not.toBe('');
    expect(await page.locator('.act-ring.done .seen-tick').count()).toBeGreaterThan(0);
    await page.locator('.call', { hasText: '555-0112' }).evaluate((link) => {
      link.addEventListener('click', (event) => event.preventDefault());
      (link as HTMLElement).click();
    });
    await page.getByLabel('Your name').fill('J. Ortega');
    const download = page.waitForEvent('download');
    await button('Save this spill').tap();
    const entry = JSON.parse(readFileSync(await (await download).path(), 'utf8'));
    expect(Object.keys(entry)).toEqual(['id', 'site', 'kind', 'at', 'by', 'body', 'photos']);
    expect(entry).toMatchObject({
      site: 'tarn-lane-depot',
      kind: 'spill',
      at: expect.stringMatching(/^2026-05-30T14:00:\d\d-06:00$/),
      by: 'J. Ortega',
    });
    expect(entry.body).toMatchObject({
      zone: 'Z5',
      fluid: 'diesel',
      placed: [{ at: 'CB-2' }, ...entry.body.placed.slice(1)],
    });
    expect(entry.body.called).toMatchObject([{ role: 'fire service', phone: '555-0112' }]);
    await button('End this spill').tap();
    await button('End it').tap();
    await answered(/^A spill on Trailer row B/);
    await page.reload();
    await answered(/^A spill on Trailer row B/);
    expect(await page.locator('.elapsed').count()).toBe(0);
  });

  test('gasoline, and what nobody knows: out and call, with the call in reach, and nothing else on top', async () => {
    await open('#spill=Z11');
    await button('I do not know').tap();
    await expect.poll(() => words('.get-out'), SLOW).toContain('get everyone out');
    expect(await page.locator('.orders, .kept-out, .step-answers').count()).toBe(0);
    const call = page.locator('.call').first();
    expect(await call.getAttribute('href')).toMatch(/^tel:(911|5550112)$/);
    expect((await call.boundingBox())?.height).toBeGreaterThanOrEqual(56);
    await button('It is no gasoline and no other light fuel').tap();
    expect(await button(/^gasoline/).count()).toBe(0);
    await tell(/^diesel/, /^A drum/);
    await answered(/^A spill on Drum store/);
    await button(/^gasoline/).tap();
    await expect.poll(() => words('.get-out'), SLOW).toContain('Gasoline');
    expect(await page.locator('.orders, .kept-out').count()).toBe(0);
  });

  test('still running: a minute’s litres are asked for, and the plan is for what comes', async () => {
    await open('#spill=Z5');
    await button(/^diesel/).tap();
    await button('Still running').tap();
    expect(await page.locator('.kept-out').count()).toBe(0);
    await button(/^A stream/).tap();
    await answered(/^A spill on Trailer row B/);
    expect(await words('.column-inner')).toContain('taken to stop after 60 min');
  });

  test.each([
    ['is told by the device', [-104.2735, 40.9609], true, /^Within about 16 ft\./],
    ['is off the map', [8.5, 47.3], true, /from this yard\. Tap the place on the map instead\.$/],
    ['is refused', [0, 0], false, /not allowed to tell where it is\. Tap the place on the map instead\.$/],
  ] as const)('“here” where the place %s', async (_, [longitude, latitude], isAllowed, said) => {
    await open('#/spill', {
      geolocation: { longitude, latitude, accuracy: 5 },
      permissions: isAllowed ? ['geolocation'] : [],
    });
    await answered(/^Where is it\?$/);
    await button('Here, where I am').tap();
    await expect.poll(() => words('.spill-mode [role=status]'), SLOW).toMatch(said);
    expect(await page.locator('.spilled').count()).toBe(said.source.startsWith('^Within') ? 1 : 0);
  });

  test('an address of a zone that is not here is said so', async () => {
    await open('#spill=Z99');
    await expect.poll(() => words('.notice h2'), SLOW).toBe('Tarn Lane Depot has no zone Z99.');
    expect(await page.locator('.questions [aria-current]').textContent()).toBe('Spill now');
    await page.evaluate(() => {
      location.hash = '#spill=Z12';
    });
    await expect.poll(() => words('.on-ground'), SLOW).toContain('On Scrap corner');
  });

  test('while the clock runs axe finds no fault, nothing is wide or low, and the keyboard answers', async () => {
    await open('#spill=Z4');
    await tell(/^diesel/, /^A drum/);
    await page.locator('.kept-out').waitFor();
    await button(/^It is running/).tap();
    await page.locator('.step-answers').waitFor();
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
    await button(/^Placed: /)
      .first()
      .focus();
    await page.keyboard.press('Enter');
    await expect.poll(() => page.locator('.said-steps li').count(), SLOW).toBe(1);
    // What comes next is spoken: the focus stands on it.
    await expect.poll(() => page.evaluate(() => document.activeElement?.id), SLOW).toBe('now');
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
    await tell(/^diesel/, /^A drum/);
    await answered(/^A spill on Scrap corner: You: /);
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
