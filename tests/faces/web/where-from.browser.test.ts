import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { AxeBuilder } from '@axe-core/playwright';
import type { Browser, BrowserContextOptions, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, describe, expect, test } from 'vitest';
import { startApp } from '../../support/browser.ts';

const PHONE = { viewport: { width: 360, height: 740 }, hasTouch: true };
const DESK = { viewport: { width: 1440, height: 900 } };

/** Requests that were for anywhere but the program's own server, and errors that the page wrote, over all tests. */
const outside: string[] = [];
const faults: string[] = [];

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

/** The page as it first stands, with an answer, and with no way out to any other server. */
async function open(options: BrowserContextOptions = DESK): Promise<Page> {
  const context = await browser.newContext({ reducedMotion: 'reduce', ...options });
  await context.route('**/*', async (route) => {
    const url = route.request().url();
    if (url.startsWith(server.address) || url.startsWith('data:') || url.startsWith('blob:')) return route.continue();
    outside.push(url);
    return route.abort();
  });
  page = await context.newPage();
  page.on('pageerror', ({ message }) => void faults.push(message));
  page.on('console', (message) => {
    if (message.type() === 'error') faults.push(message.text());
  });
  await page.goto(server.address);
  await page.locator('.zones .zone-row').nth(2).waitFor();
  return page;
}

/** Until the answer on screen is to what is asked now. */
const settled = () => expect.poll(() => page.locator('.answer').getAttribute('aria-busy'), SLOW).toBe('false');
const SLOW = { timeout: 20_000 };
const shares = () => page.locator('.zones .zone-row > strong').allTextContents();
/** Opens the fields of the finding at a place. */
const openFinding = (at: string) => page.locator('.finding-row', { hasText: at }).first().click();
const answerText = async () => (await page.locator('.answer').textContent()) ?? '';
const bring = (name: string, text: string) =>
  page.setInputFiles('input[type=file]', { name, mimeType: 'application/json', buffer: Buffer.from(text) });

const SMALL_YARD = {
  type: 'FeatureCollection',
  site: { format: 'oilshed-site', version: 1, name: 'My own yard', units: 'si' },
  features: [
    {
      type: 'Feature',
      id: 'Z1',
      properties: { kind: 'zone', name: 'Pumps', activity: 'fueling', drainsTo: 'CB-1' },
      geometry: {
        type: 'Polygon',
        coordinates: [
          [
            [0, 0],
            [0.001, 0],
            [0.001, 0.001],
            [0, 0.001],
            [0, 0],
          ],
        ],
      },
    },
    {
      type: 'Feature',
      id: 'CB-1',
      properties: { kind: 'catch-basin' },
      geometry: { type: 'Point', coordinates: [0.0005, 0.0005] },
    },
    {
      type: 'Feature',
      id: 'SEP-1',
      properties: { kind: 'separator' },
      geometry: { type: 'Point', coordinates: [0.002, 0.0005] },
    },
    {
      type: 'Feature',
      id: 'P1',
      properties: { kind: 'pipe', from: 'CB-1', to: 'SEP-1' },
      geometry: {
        type: 'LineString',
        coordinates: [
          [0.0005, 0.0005],
          [0.002, 0.0005],
        ],
      },
    },
  ],
};

describe('the first thing seen', () => {
  test('is the freight depot with an answer, said to be invented', async () => {
    await open();
    expect(await page.locator('.yard-menu option:checked').textContent()).toContain('Freight depot');
    expect(await page.locator('.strip').textContent()).toContain('This is an invented yard.');
    expect(await answerText()).toMatch(/\d+%, (somewhere between \d+ and \d+|anything from none to all)/);
    expect(await page.locator('.action strong').first().textContent()).toMatch(/^Lift \S+ next\./);
    const drawn = await page.locator('.ground [data-zone]').count();
    expect(drawn).toBe(16);
    // Every zone with a share has its number printed on the map.
    const rows = await page.locator('.zones button.zone-row').count();
    const numbers = await page.locator('.labels .zone-number').count();
    await page.getByRole('button', { name: /^Show all \d+ zones/ }).click();
    expect(numbers).toBe(await page.locator('.zones button.zone-row').count());
    expect(numbers).toBeGreaterThan(rows);
  });
});

describe('picking', () => {
  test('a zone in the list picks it on the map', async () => {
    await open();
    const row = page.locator('.zones button.zone-row').nth(1);
    const id = await row.getAttribute('data-row');
    expect(await page.locator('[data-picked]').count()).toBe(0);
    await row.click();
    expect(await page.locator('.map [data-picked]').getAttribute('data-picked')).toBe(id);
    expect(await row.getAttribute('aria-pressed')).toBe('true');
    await row.click();
    expect(await page.locator('[data-picked]').count()).toBe(0);
  });

  test('a zone on the map picks it in the list, and Escape lets go', async () => {
    await open();
    const last = page.locator('.zones button.zone-row').nth(4);
    const id = (await last.getAttribute('data-row')) as string;
    // Some place where it is on top: a zone need not fill the middle or a corner of its box.
    const spot = await page.locator(`.ground [data-zone="${id}"] .zone`).evaluate((zone, wanted) => {
      const { left, top, width, height } = zone.getBoundingClientRect();
      for (let step = 0; step < 400; step++) {
        const [x, y] = [left + (width * ((step % 20) + 0.5)) / 20, top + (height * (Math.floor(step / 20) + 0.5)) / 20];
        const picked = document.elementFromPoint(x, y)?.closest('[data-pick]');
        if (picked?.getAttribute('data-pick') === wanted) return { x, y };
      }
      return null;
    }, id);
    if (!spot) throw new Error(`${id} is not to be seen`);
    await page.mouse.click(spot.x, spot.y);
    expect(await last.getAttribute('aria-pressed')).toBe('true');
    await page.locator('.picked-zone .action').waitFor();
    await page.keyboard.press('Escape');
    expect(await last.getAttribute('aria-pressed')).toBe('false');
  });

  test('a structure on the map says what it is, and oil seen there can be asked about', async () => {
    await open();
    await page.locator('.points [data-pick="CB-7"]').click();
    expect(await page.locator('.picked-point').textContent()).toContain('catch basin');
    await page.getByRole('button', { name: 'Oily: CB-7' }).click();
    await page.locator('.points [data-pick="CB-7"]').click();
    await page.getByRole('button', { name: 'Ask about the oil here' }).click();
    await expect.poll(() => page.locator('#ranked').textContent(), SLOW).toBe('Share of the oil in CB-7');
    expect(await page.locator('.finding-row[aria-current]').textContent()).toMatch(/^CB-7 oil.*asked about$/);
  });

  test('a zone asks where to block: the place to act wears a ring, and the way of the oil is drawn', async () => {
    await open();
    expect(await page.locator('.act-ring').count()).toBe(0);
    await page.locator('.zones button.zone-row').first().click();
    await page.locator('.picked-zone .action').click();
    await expect.poll(() => page.locator('.on-ground').count()).toBe(1);
    await page.getByRole('button', { name: /^diesel/ }).click();
    await page.getByRole('button', { name: /^A drum/ }).click();
    await expect.poll(answerText).toMatch(/^A spill on /);
    const orders = await page.locator('.orders .action').count();
    expect(orders).toBeGreaterThan(0);
    expect(await page.locator('.act-ring').count()).toBe(orders);
    expect(await page.locator('.saved-way, .oil-way').count()).toBeGreaterThan(0);
    expect(await page.locator('.column-inner').textContent()).toContain('Never enter a vault or a manhole');
  });

  test('gasoline sends nobody to a lid', async () => {
    await open();
    await page.getByRole('button', { name: 'Spill now' }).click();
    await tellSpill();
    await page.getByRole('button', { name: /^gasoline/ }).click();
    await expect.poll(() => page.locator('.orders').count()).toBe(0);
    expect(await page.locator('.get-out').textContent()).toContain('go to no lid');
    expect(await page.locator('.act-ring').count()).toBe(0);
  });
});

describe('the next lid', () => {
  test('calling it oily moves the odds and the next lid, and taking it back brings them back', async () => {
    await open();
    const before = await shares();
    const [, lid] = /^Lift (\S+) next\./.exec((await page.locator('.next-lid strong').textContent()) ?? '') ?? [];
    expect(await page.locator('.look-sign').count()).toBe(3);
    await page.getByRole('button', { name: `Oily: ${lid}` }).click();
    // The answer before stands while the next one is worked out.
    expect(await shares()).toEqual(before);
    expect(await page.locator('.finding-row').count()).toBe(5);
    await settled();
    expect(await shares()).not.toEqual(before);
    expect(await page.locator('.said p').textContent()).toMatch(/: oil\. .+\d%, was .*\d%\.$/);
    expect(await page.locator('.zones .was').count()).toBeGreaterThan(0);
    expect(await page.locator('.action strong').first().textContent()).not.toContain(lid);
    await page.locator('.said select').selectOption('diesel');
    expect(await page.locator('.finding-row').last().textContent()).toContain('oil, diesel');
    await page.getByRole('button', { name: 'Take it back' }).click();
    await settled();
    expect(await shares()).toEqual(before);
    expect(await page.locator('.said').count()).toBe(0);
  });

  test('the two lids after it stand below it, by what is seen, in full for who cannot see them', async () => {
    await open();
    const lines = await page.locator('.lid-plan .unseen').allTextContents();
    expect(lines).toHaveLength(2);
    expect(lines[0]).toMatch(/^If it is clean, lift \S+[;,] then /);
    const [, lid] = /^Lift (\S+) next\./.exec((await page.locator('.next-lid strong').textContent()) ?? '') ?? [];
    expect(lines[1]).toMatch(new RegExp(`^If ${lid} is oily, lift \\S+[;,] then `));
    const shown = await page.locator('.lid-plan li > [aria-hidden]').allTextContents();
    const ids = (text: string) => [...new Set(text.match(/(?:CB|MH|TD|LS)-\d+/g))].sort();
    expect(shown.map(ids)).toEqual(lines.map((line) => ids(line.replace(`If ${lid} is`, ''))));
  });

  test('“I am here” puts near lids first and says the walk, on the map too, and can be forgotten', async () => {
    await open();
    const before = await shares();
    const lidRows = () => page.locator('.lid-row').allTextContents();
    expect((await lidRows()).some((text) => text.includes('walk'))).toBe(false);
    await page.locator('.points [data-pick="CB-9"]').click();
    const here = page.getByRole('button', { name: 'I am here' });
    await here.focus();
    await page.keyboard.press('Enter');
    expect(await here.getAttribute('aria-pressed')).toBe('true');
    expect(await page.locator('.standing [role=status]').textContent()).toBe('You are at CB-9. Near lids come first.');
    await settled();
    expect((await lidRows()).every((text) => /\d min walk, oil there/.test(text))).toBe(true);
    expect(await page.locator('.next-lid .action').textContent()).toMatch(/\d min walk, oil there/);
    expect(await page.locator('.map .here').count()).toBe(1);
    // Where one stands says nothing of where the oil came from.
    expect(await shares()).toEqual(before);
    expect(await page.locator('.zones .was').count()).toBe(0);
    await page.getByRole('button', { name: 'Forget where I am' }).click();
    await settled();
    expect((await lidRows()).some((text) => text.includes('walk'))).toBe(false);
    expect(await page.locator('.map .here').count()).toBe(0);
  });

  test('a zone and a kit are places to stand at, and who looks into a lid stands there next', async () => {
    await open();
    await page.locator('.points [data-pick="KIT-1"]').click();
    await page.getByRole('button', { name: 'I am here' }).click();
    expect(await page.locator('.standing p').textContent()).toContain('You are at Fuel island kit.');
    await page.locator('.zones button.zone-row').first().click();
    await page.getByRole('button', { name: 'I am here' }).click();
    expect(await page.locator('.standing p').textContent()).toContain('You are on Fuel island.');
    await settled();
    await page.locator('.points [data-pick="CB-4"]').click();
    await page.getByRole('button', { name: 'Clean: CB-4' }).click();
    expect(await page.locator('.standing p').textContent()).toContain('You are at CB-4.');
    await page.getByRole('button', { name: 'Take it back' }).click();
    expect(await page.locator('.standing p').textContent()).toContain('You are on Fuel island.');
  });

  test.each([
    ['in the yard', [-104.2735, 40.9609], true, 'You are where this device is.', 1],
    ['far away', [8.5, 47.3], true, 'This device is more than 100 km from this yard. Pick where you stand', 0],
    ['not allowed', [-104.2735, 40.9609], false, 'This browser was not allowed to tell where it is. Pick', 0],
  ] as const)('a device %s says so, and nothing else', async (_, [longitude, latitude], isAllowed, words, marks) => {
    await open({
      ...DESK,
      geolocation: { longitude, latitude, accuracy: 5 },
      permissions: isAllowed ? ['geolocation'] : [],
    });
    await page.getByRole('button', { name: 'Lids near me first' }).click();
    const said = page.locator('.standing [role=status]');
    await expect.poll(() => said.textContent(), SLOW).toContain(words);
    await settled();
    expect(await page.locator('.map .here').count()).toBe(marks);
  });

  test('any lid on the map can be called clean, by the clock of the device', async () => {
    await open();
    await page.clock.setFixedTime(new Date('2026-10-05T12:00:00'));
    const before = await shares();
    await page.locator('.points [data-pick="CB-4"]').click();
    await page.getByRole('button', { name: 'Clean: CB-4' }).click();
    await settled();
    expect(await shares()).not.toEqual(before);
    expect(await page.locator('.finding-row').last().textContent()).toMatch(/^CB-4 cleanJun 15\s–\sOct 5, 2026$/);
    expect(await page.locator('.why').first().textContent()).toMatch(/clean CB-\d+ \([×÷]\u00a0\d/);
    expect(await page.locator('.look-sign').count()).toBe(4);
  });
});

describe('the findings', () => {
  test('all of them are listed; taking one out and adding one change the answer', async () => {
    await open();
    const rows = page.locator('.finding-row');
    expect((await rows.allTextContents()).map((text) => text.split(/(?:Jun|Sep) \d/)[0])).toEqual([
      'SEP-1 3.7 gal',
      'CB-6 clean',
      'MH-12 oil, diesel',
      'CB-2 clean',
    ]);
    const before = await shares();
    await openFinding('MH-12');
    await page.getByRole('button', { name: 'Take it out' }).click();
    await settled();
    expect(await rows.count()).toBe(3);
    const without = await shares();
    expect(without).not.toEqual(before);
    await page.getByRole('button', { name: 'Add a finding' }).click();
    expect(await rows.count()).toBe(3);
    await page.locator('.add-finding select').selectOption('TD-2');
    await page.locator('.add-finding').getByRole('button', { name: 'Clean' }).click();
    await settled();
    expect(await shares()).not.toEqual(without);
    for (let step = 0; step < 2; step++) await page.getByRole('button', { name: 'Take it back' }).click();
    await settled();
    expect(await shares()).toEqual(before);
  });

  test('what was seen on open ground is drawn there', async () => {
    await open();
    const before = await page.locator('.look-sign').count();
    await page.getByRole('button', { name: 'Add a finding' }).click();
    await page.locator('.add-finding select').selectOption('Z4');
    await page.locator('.add-finding').getByRole('button', { name: 'Clean' }).click();
    expect(await page.locator('.look-sign').count()).toBe(before + 1);
    const ground = await page.locator('.ground [data-zone="Z4"] .zone').boundingBox();
    const sign = await page.locator('.look-sign').last().boundingBox();
    if (!ground || !sign) throw new Error('the ground or its sign is not drawn');
    expect(sign.x).toBeGreaterThan(ground.x);
    expect(sign.y).toBeGreaterThan(ground.y);
    expect(sign.x + sign.width).toBeLessThan(ground.x + ground.width);
    expect(sign.y + sign.height).toBeLessThan(ground.y + ground.height);
    expect(await page.locator('.look-sign').last().locator('.seen-tick').count()).toBe(1);
  });

  test('what is only supposed is said to be so, until something is seen at its place', async () => {
    await open();
    await bring('mine.geojson', JSON.stringify(SMALL_YARD));
    await expect.poll(() => page.locator('.tag.seen').textContent(), SLOW).toBe('Oil supposed');
    expect(await page.locator('.rough').first().textContent()).toContain('Nobody has seen oil in SEP-1 yet');
    await page.locator('.points [data-pick="CB-1"]').click();
    await page.getByRole('button', { name: 'Clean: CB-1' }).click();
    await expect.poll(() => page.locator('.finding-row').count()).toBe(2);
    expect(await page.locator('.finding-row').first().textContent()).toContain('supposed');
    await page.locator('.points [data-pick="SEP-1"]').click();
    await page.getByRole('button', { name: 'Oily: SEP-1' }).click();
    await expect.poll(() => page.locator('.tag.seen').textContent(), SLOW).not.toContain('supposed');
    expect(await page.locator('.finding-row').count()).toBe(2);
    expect((await page.locator('.finding-row').allTextContents()).join()).not.toContain('supposed');
    expect(await page.locator('.rough', { hasText: 'Nobody has seen' }).count()).toBe(0);
  });

  test('saying that it was one spill moves the odds, and taking it back moves them back', async () => {
    await open();
    const before = await shares();
    const box = page.getByRole('checkbox', { name: 'I know it was one spill' });
    await box.check();
    await expect.poll(shares, SLOW).not.toEqual(before);
    await box.uncheck();
    await expect.poll(shares, SLOW).toEqual(before);
  });

  test('changing how much changes the answer, and a window turned round is said so', async () => {
    await open();
    await openFinding('SEP-1');
    const before = await shares();
    await page.getByRole('spinbutton', { name: 'Gallons' }).fill('40');
    await expect.poll(shares, SLOW).not.toEqual(before);
    expect(await page.locator('.tag.seen').textContent()).toBe('Found 40 gal');
    await page.locator('.finding').getByLabel('What was seen').selectOption('oil');
    expect(await page.getByRole('spinbutton', { name: 'Gallons' }).count()).toBe(0);
    await page.getByLabel('Last known clean').fill('2027-01-01');
    await expect.poll(() => page.locator('.form-errors').count(), SLOW).toBe(1);
    expect(await page.locator('.form-errors').textContent()).toContain('last clean');
    expect(await page.locator('.finding-row').first().textContent()).toContain('not counted');
    expect(await page.locator('.zones .zone-row').count()).toBeGreaterThan(2);
    await page.getByLabel('Last known clean').fill('2026-07-01');
    await expect.poll(() => page.locator('.form-errors').count(), SLOW).toBe(0);
  });

  test('where nothing is held, only an oily look can be asked about', async () => {
    await open();
    await openFinding('SEP-1');
    await page.getByLabel('Where').selectOption('MH-8');
    await expect.poll(() => page.locator('#ranked').textContent(), SLOW).toBe('Share of the oil in MH-8');
    expect(await page.locator('.finding').getByLabel('What was seen').inputValue()).toBe('oil');
    expect(await page.locator('.form-errors').count()).toBe(0);
  });

  test('the look of a film comes to the right amount, and coolant says why it does not count', async () => {
    await open();
    await page.locator('.yard-menu select').selectOption('gravel-haul-yard');
    await expect.poll(() => page.locator('.ground [data-zone]').count()).toBe(8);
    await openFinding('SEP-1');
    await page.getByLabel('Measured how?').selectOption('appearance');
    await page.getByLabel('Area, m²').fill('20');
    await page.getByLabel('Dull like metal').fill('10');
    await page.getByLabel('Rainbow colours').fill('40');
    await page.getByLabel('Silvery sheen').fill('60');
    expect(await page.locator('.looks').textContent()).toContain('more than all of it');
    await page.getByLabel('Silvery sheen').fill('50');
    // Half of 20 m² at 0.04 to 0.3 µm, two fifths at 0.3 to 5, a tenth at 5 to 50: 12.8 to 143 mL.
    await expect
      .poll(() => page.locator('.worth').textContent(), SLOW)
      .toBe('About 42.8 mL, likely 12.8 mL to 0.14 L.');
    await page.getByLabel('Fluid').selectOption('coolant');
    await expect.poll(() => page.locator('.form-errors').textContent(), SLOW).toContain('coolant mixes with water');
  });
});

describe('the map and its problems', () => {
  test('every problem says what and what to do, and picks its feature', async () => {
    await open();
    const fold = page.locator('.fold', { hasText: 'Problems of the map' });
    const counted = (await fold.locator('summary span').textContent()) ?? '';
    await fold.locator('summary').click();
    const items = fold.locator('.problems > li');
    const total = [...counted.matchAll(/\d+/g)].reduce((sum, [number]) => sum + Number(number), 0);
    await items.first().waitFor();
    expect(await items.count()).toBe(total);
    expect(total).toBeGreaterThan(0);
    const button = items.locator('button').first();
    await button.click();
    expect(await page.locator('.map [data-picked]').getAttribute('data-picked')).toBe(
      await button.getAttribute('data-row'),
    );
  });

  test('the other demo yards open from the menu', async () => {
    await open();
    await page.locator('.yard-menu select').selectOption('gravel-haul-yard');
    await expect.poll(() => page.locator('.ground [data-zone]').count()).toBe(8);
    // This yard is in litres.
    await openFinding('SEP-1');
    await page.getByRole('spinbutton', { name: 'Litres' }).waitFor();
    expect(await page.locator('.scale-and-north').textContent()).toMatch(/ m$/);
  });

  test('a broken file shows every problem and keeps the yard', async () => {
    await open();
    const before = await answerText();
    const zone = { ...SMALL_YARD.features[0], properties: { kind: 'zone', activity: 'parkin' } };
    const pipe = { ...SMALL_YARD.features[3], properties: { kind: 'pipe', from: 'CB-1' } };
    await bring('broken.geojson', JSON.stringify({ ...SMALL_YARD, features: [zone, pipe] }));
    const notice = page.locator('.notice');
    await notice.waitFor();
    expect(await notice.locator('h2').textContent()).toBe('broken.geojson cannot be opened yet: 2 things to mend.');
    expect(await notice.textContent()).toContain('"parkin"');
    expect(await notice.textContent()).toContain('P1, to');
    expect(await answerText()).toBe(before);
    expect(await page.locator('.ground [data-zone]').count()).toBe(16);
    await notice.getByRole('button', { name: 'Close' }).click();
    expect(await notice.count()).toBe(0);
    await bring('holiday.geojson', 'not { a map');
    await expect.poll(() => notice.textContent()).toContain('not JSON');
    expect(await page.locator('.ground [data-zone]').count()).toBe(16);
  });

  test('a map of the user’s own opens with a supposed finding, then takes findings of its own', async () => {
    await open();
    await bring('mine.geojson', JSON.stringify(SMALL_YARD));
    await expect.poll(() => page.locator('.ground [data-zone]').count()).toBe(1);
    expect(await page.locator('.strip').count()).toBe(0);
    await expect.poll(answerText).toContain('Pumps');
    expect(await page.locator('.finding-row').textContent()).toContain('supposed');
    const found = { id: 'F1', at: 'SEP-1', since: '2026-01-01', seenAt: '2026-02-01', amount: { litres: 7 } };
    await bring('seen.json', JSON.stringify({ format: 'oilshed-findings', version: 1, findings: [found] }));
    await expect.poll(() => page.locator('.tag.seen').textContent()).toBe('Found 7 L');
    expect(await page.locator('.finding-row').textContent()).not.toContain('supposed');
    // The only way there is clean beyond doubt: what was found is not explained, and the map and the panel say so.
    const clean = { ...found, id: 'F2', at: 'CB-1', amount: undefined, seen: 'clean', misread: 0 };
    await bring('both.json', JSON.stringify({ format: 'oilshed-findings', version: 1, findings: [found, clean] }));
    await expect.poll(answerText, SLOW).toContain('Nothing on this map explains oil in SEP-1');
    expect(await page.locator('.question-tab').textContent()).toBe('?');
    expect(await page.locator('.unexplained strong').textContent()).toBe('Look into SEP-1 from above.');
  });

  test('a computation that does not start is said so, never a blank page', async () => {
    const context = await browser.newContext(DESK);
    page = await context.newPage();
    await page.route('**/worker-*.js', (route) => route.abort());
    await page.goto(server.address);
    expect(await page.locator('.notice').textContent()).toContain('could not be worked out');
    expect(await page.locator('.yard-menu').isVisible()).toBe(true);
  });

  test('names in a file are shown and never run', async () => {
    await open();
    const zone = SMALL_YARD.features[0];
    const hostile = '<img src=x onerror="document.title=1">';
    const named = { ...zone, properties: { ...zone.properties, name: hostile } };
    await bring('odd.geojson', JSON.stringify({ ...SMALL_YARD, features: [named, ...SMALL_YARD.features.slice(1)] }));
    await expect.poll(answerText).toContain(hostile);
    expect(await page.title()).toBe('Oil found · Oilshed');
    expect(await page.locator('img').count()).toBe(0);
  });
});

/** What is to be pressed and lower than a thumb needs; the sheet's handle may be. */
const lowButtons = () =>
  page.evaluate(() =>
    [...document.querySelectorAll<HTMLElement>('button, select, summary, .bring, input:not([type=file])')]
      .filter(
        (each) => !each.matches('.handle') && each.offsetParent !== null && each.getBoundingClientRect().height < 44,
      )
      .map((each) => each.outerHTML.slice(0, 80)),
  );

/** Says that a drum of diesel runs out on the fuel island. */
async function tellSpill(): Promise<void> {
  await page.getByLabel('Or choose the ground').selectOption('Z1');
  await page.getByRole('button', { name: /^diesel/ }).click();
  await page.getByRole('button', { name: /^A drum/ }).click();
  await page.locator('.orders .action').first().waitFor();
}

describe('phones, keys and eyes', () => {
  test('360 pixels wide: nothing scrolls sideways and the first action is in sight', async () => {
    await open(PHONE);
    for (const question of ['Oil found', 'Spill now']) {
      await page.getByRole('button', { name: question }).click();
      const wide = await page.evaluate(() => [
        document.documentElement.scrollWidth,
        ...[...document.querySelectorAll('.column-inner')].map((each) => each.scrollWidth),
      ]);
      expect(Math.max(...wide)).toBeLessThanOrEqual(360);
      const action = await page.locator('.action, .stand-here').first().boundingBox();
      const tabs = await page.locator('.questions').boundingBox();
      if (!action || !tabs) throw new Error('no action or no questions on the page');
      expect(action.y + action.height).toBeLessThanOrEqual(tabs.y);
      expect(tabs.y + tabs.height).toBeLessThanOrEqual(740);
    }
    await page.getByRole('button', { name: 'Oil found' }).click();
    await page
      .getByRole('button', { name: /^Oily: / })
      .first()
      .click();
    await openFinding('SEP-1');
    await page.getByLabel('Measured how?').selectOption('appearance');
    expect(await page.evaluate(() => document.querySelector('.column')?.scrollWidth)).toBeLessThanOrEqual(360);
    expect(await page.evaluate(() => document.querySelector('.column-inner')?.scrollWidth)).toBeLessThanOrEqual(360);
    const back = await page.getByRole('button', { name: 'Take it back' }).boundingBox();
    expect((back?.x ?? 999) + (back?.width ?? 0)).toBeLessThanOrEqual(360);
  });

  test('360 pixels wide: what is said of a lid leaves the next one in sight, with both its buttons', async () => {
    await open(PHONE);
    for (const seen of ['Oily', 'Clean', 'Oily']) {
      const next = page.locator('.next-lid').getByRole('button', { name: new RegExp(`^${seen}: `) });
      await next.click();
      await settled();
      const bar = await page.locator('.said').boundingBox();
      const handle = await page.locator('.handle').boundingBox();
      for (const button of await page.locator('.next-lid .clean-or-oily button').all()) {
        const box = await button.boundingBox();
        if (!bar || !box || !handle) throw new Error('the bar, the handle or a button is not there');
        expect(box.y + box.height).toBeLessThanOrEqual(bar.y + 1);
        expect(box.y).toBeGreaterThanOrEqual(handle.y + handle.height);
      }
    }
  });

  test('the sheet goes up and down by its handle', async () => {
    await open(PHONE);
    const height = async () => (await page.locator('.column').boundingBox())?.height ?? 0;
    const before = await height();
    await page.locator('.handle').click();
    expect(await height()).toBeGreaterThan(before + 100);
    const handle = await page.locator('.handle').boundingBox();
    if (!handle) throw new Error('no handle');
    await page.mouse.move(180, handle.y + 10);
    await page.mouse.down();
    await page.mouse.move(180, handle.y + 200, { steps: 5 });
    await page.mouse.move(180, handle.y + 330, { steps: 5 });
    await page.mouse.up();
    await expect.poll(height).toBeLessThan(before + 20);
  });

  test('the keyboard reaches a zone, a structure and the questions, and picks', async () => {
    await open();
    const reached = new Set<string>();
    for (let presses = 0; presses < 60 && reached.size < 3; presses++) {
      await page.keyboard.press('Tab');
      const here = await page.evaluate(() => {
        const { activeElement } = document;
        return activeElement?.matches('.zone-row')
          ? 'zone'
          : activeElement?.matches('.lid-row')
            ? 'structure'
            : activeElement?.matches('.questions button')
              ? 'question'
              : '';
      });
      if (here === '') continue;
      const outline = await page.evaluate(
        () => document.activeElement && getComputedStyle(document.activeElement).outlineWidth,
      );
      expect(outline).toBe('3px');
      if (here !== 'question' && !reached.has(here)) {
        await page.keyboard.press('Enter');
        expect(await page.locator('.map [data-picked]').count()).toBe(1);
      }
      reached.add(here);
    }
    expect([...reached].sort()).toEqual(['question', 'structure', 'zone']);
  });

  test.each([
    ['desk', 'light', DESK],
    ['desk', 'dark', DESK],
    ['phone', 'light', PHONE],
    ['phone', 'dark', PHONE],
  ] as const)(
    'no fault is found by axe on a %s in %s, and everything to be pressed is at least 44 pixels high',
    async (_, colorScheme, options) => {
      await open({ ...options, colorScheme });
      await page.locator('.zones button.zone-row').first().click();
      await page.getByRole('button', { name: 'I am here' }).click();
      for (const summary of await page.locator('.fold summary').all()) await summary.click();
      await openFinding('SEP-1');
      await page.getByLabel('Measured how?').selectOption('appearance');
      await page
        .getByRole('button', { name: /^Oily: / })
        .first()
        .click();
      await settled();
      expect(await lowButtons()).toEqual([]);
      // By night the same things stand in other colours.
      const look = () => {
        const axe = new AxeBuilder({ page });
        return (colorScheme === 'dark' ? axe.withRules(['color-contrast']) : axe).analyze();
      };
      for (const question of ['Oil found', 'Spill now']) {
        await page.getByRole('button', { name: question }).click();
        const { violations } = await look();
        expect(violations.map(({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html).join(' ')}`)).toEqual([]);
      }
      if (colorScheme === 'dark') return;
      await page.getByRole('button', { name: 'Sunlight' }).click();
      const { violations } = await new AxeBuilder({ page }).withRules(['color-contrast']).analyze();
      expect(violations.map(({ id }) => id)).toEqual([]);
    },
    120_000,
  );

  test('the printed page is one page of A4 and of Letter, the answer first', async () => {
    await open();
    for (const question of ['Oil found', 'Spill now']) {
      await page.getByRole('button', { name: question }).click();
      if (question === 'Spill now') await tellSpill();
      const spoken =
        (question === 'Spill now' ? await page.locator('.answer-order').textContent() : await answerText()) ?? '';
      for (const format of ['A4', 'Letter']) {
        const pdf = await page.pdf({ format });
        expect(pdf.toString('latin1').match(/\/Type\s*\/Page\b/g)).toHaveLength(1);
      }
      await page.evaluate(() => void dispatchEvent(new Event('beforeprint')));
      const paper = await page.locator('.paper').evaluate((each) => each.textContent ?? '');
      expect(paper.indexOf(spoken)).toBeGreaterThanOrEqual(0);
      expect(paper.indexOf(spoken)).toBeLessThan(
        paper.indexOf(question === 'Oil found' ? 'Share of the oil' : 'One control alone'),
      );
      const version = createHash('sha256').update(readFileSync('site-maps/freight-depot.geojson')).digest('hex');
      expect(paper).toContain(`freight-depot.geojson, version ${version.slice(0, 12)}:`);
      expect(paper).toMatch(/Printed [A-Z][a-z]+ \d{1,2}, 20\d\d at \d\d:\d\d/);
    }
  });

  test('no request left for another server, and the page wrote no error', async () => {
    await open();
    await page.locator('.zones button.zone-row').first().click();
    expect(outside).toEqual([]);
    expect(faults).toEqual([]);
    // The watch itself works: a request elsewhere is noticed and stopped.
    await page.evaluate(() => fetch('http://192.0.2.1/').catch(() => null));
    expect([...outside, ...faults].length).toBeGreaterThan(0);
    outside.length = 0;
    faults.length = 0;
  });
});
