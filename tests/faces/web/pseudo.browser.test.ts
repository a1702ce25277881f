import { readFileSync } from 'node:fs';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { root, startApp } from '../../support/browser.ts';
import { escapedOnPage, speakPseudo } from '../../support/pseudo-page.ts';

const SLOW = { timeout: 40_000 };
const LONG_MS = 240_000;

let server: Awaited<ReturnType<typeof startApp>>['server'];
let browser: Browser;

beforeAll(async () => {
  ({ server, browser } = await startApp());
});
afterAll(async () => {
  await browser?.close();
  await server?.close();
});

/** What Intl says of itself beside the messages: months, and the word before the last of a list. */
const INTL_WORDS = new Set([
  ...['and', 'or'],
  ...Array.from({ length: 12 }, (_, month) =>
    ['en-US', 'en-GB', 'es-US', 'es'].map((locale) =>
      new Intl.DateTimeFormat(locale, { month: 'short', timeZone: 'UTC' }).format(Date.UTC(2026, month, 5)),
    ),
  ).flat(),
]);

/** Fields of a file as problems name them. */
const FIELDS = ['geometry'];

interface MapFile {
  site: { name: string; currency?: string; contacts?: Record<string, string>[] };
  features: { id: string; properties: { name?: string } }[];
}

/** A map's own names, ids and contacts, which are the same in every language. */
function ownWords(file: string): string[] {
  const { site, features }: MapFile = JSON.parse(readFileSync(`${root}/site-maps/${file}`, 'utf8'));
  const contacts = (site.contacts ?? []).flatMap((each) => Object.values(each));
  // On screen a role begins with a capital.
  const roles = contacts.map((text) => `${text.charAt(0).toUpperCase()}${text.slice(1)}`);
  // On the map a name may stand in two lines.
  const namesOf = (name: string) => [name, name.replaceAll(' ', '')];
  const named = features.flatMap(({ id, properties: { name } }) => [id, ...(name === undefined ? [] : namesOf(name))]);
  const currency = site.currency ?? 'USD';
  const [money] = new Intl.NumberFormat('en', { style: 'currency', currency }).formatToParts(1);
  return [...named, ...contacts, ...roles, site.name, currency, money.value, file, 'Oilshed', 'Leaflet', ...FIELDS];
}

/** A walk over the screens that notes what escaped the catalogue, by where. */
function walk(page: Page, names: readonly string[]) {
  const escaped: Record<string, string[]> = {};
  const settled = () => expect.poll(() => page.locator('.app.stale').count(), SLOW).toBe(0);
  const look = async (where: string) => {
    await settled();
    const found = (await escapedOnPage(page, names)).filter((word) => !INTL_WORDS.has(word));
    if (found.length > 0) escaped[where] = [...new Set([...(escaped[where] ?? []), ...found])];
  };
  const ask = async (question: number) => {
    await page.locator('.questions button').nth(question).click();
    await settled();
  };
  const openFolds = async () => {
    const closed = page.locator('details:not([open]) > summary').filter({ visible: true });
    while ((await closed.count()) > 0) await closed.first().click();
  };
  const print = async (where: string) => {
    await settled();
    await page.evaluate(() => void dispatchEvent(new Event('beforeprint')));
    await look(`${where}, printed`);
    await page.evaluate(() => void dispatchEvent(new Event('afterprint')));
  };
  /** A small yard has no list to unfold, and perhaps no lid left that would tell more. */
  const pressIfThere = async (selector: string) => {
    await settled();
    const button = page.locator(selector).first();
    if (await button.isVisible()) await button.click();
  };
  return { escaped, settled, look, ask, openFolds, print, pressIfThere };
}

type Walk = ReturnType<typeof walk>;

async function walkOilFound(page: Page, { look, openFolds, print, pressIfThere }: Walk): Promise<void> {
  await look('oil found');
  await openFolds();
  await pressIfThere('section[aria-labelledby=ranked] > .more');
  await look('all zones');
  for (const row of await page.locator('.finding-row').all()) {
    await row.click();
    await look('a finding');
    await row.click();
  }
  await page.locator('.finding-row').first().click();
  const ways = page.locator('.finding select:has(option[value=socks])');
  for (const way of (await ways.count()) > 0 ? ['thickness', 'appearance', 'socks', 'litres'] : []) {
    await ways.selectOption(way);
    await look(`an amount by ${way}`);
  }
  await page.locator('.finding-row').first().click();
  await page.locator('section[aria-labelledby=found] > .more').click();
  await look('a new finding');
  await page.locator('.add-finding button').first().click();
  await look('a finding added');
  for (const button of await page.locator('.said button').all()) if (await button.isVisible()) await button.click();
  const rows = page.locator('.zones button.zone-row');
  for (const at of [0, 1]) {
    await rows.nth(at).click();
    await look('a picked zone');
    await rows.nth(at).click();
  }
  for (const row of await page.locator('.all-points button').all()) {
    await row.click();
    await page.locator('.picked-point .drains').waitFor(SLOW);
    await look('a picked point');
  }
  await page.keyboard.press('Escape');
  await page.locator('.one-spill input').click();
  await pressIfThere('.next-lid .clean-or-oily button');
  await look('what was said');
  await print('oil found');
}

async function walkSpill(page: Page, { look, ask, openFolds, print, pressIfThere }: Walk): Promise<void> {
  await ask(1);
  await look('where a spill is');
  const zones = page.locator('.spill-ask select');
  const ids = await zones
    .locator('option')
    .evaluateAll((all) => all.flatMap((each) => each.getAttribute('value') || []));
  const fluids = page.locator('[aria-labelledby="what-is-it"] button');
  const amounts = page.locator('[aria-labelledby="how-much"] .choices.big-ones').first().locator('button');
  await zones.selectOption(ids[0]);
  await look('what a spill is');
  // The last fluid is the one that nobody knows.
  await fluids.last().click();
  await look('what may be gasoline');
  await page.locator('.spill-mode > button.big').last().click();
  await fluids.first().click();
  await amounts.last().click();
  await look('a spill that still runs');
  await amounts.first().click();
  // The fluids that the map lists come first, gasoline among them.
  for (const number of [0, 1, 2]) {
    if ((await fluids.count()) === 0) break;
    await fluids.nth(number).click();
    await look('a spill of something');
    if ((await page.locator('.get-out').count()) > 0) {
      await page.locator('.spill-mode > button.big').last().click();
      await fluids.first().click();
    }
  }
  for (const id of ids.slice(0, 3)) {
    await page.locator('.on-ground button').click();
    await zones.selectOption(id);
    await look('a spill on a zone');
  }
  await pressIfThere('.spill-mode .more');
  await page.locator('form.spill .choices button').nth(1).click();
  await look('a spill in the rain');
  await print('a spill');
  await page.locator('.start-clock').click();
  await openFolds();
  await look('a clock that runs');
  const placed = page.locator('.step-answer.first');
  await page.locator('.step-answer').nth(1).click();
  await look('a step that cannot be done');
  for (let step = 0; step < 9 && (await placed.count()) > 0; step++) {
    await placed.click();
    await look('a step that is in place');
  }
  await print('a clock that runs');
  await page.locator('.save-spill .quiet').last().click();
  await look('the end of a spill');
  await page.locator('.ending button').first().click();
}

async function walkPlan(page: Page, { look, ask, print }: Walk): Promise<void> {
  await ask(2);
  await page.locator('.kit-list > li').first().waitFor(SLOW);
  await page.locator('.curve').waitFor(SLOW);
  await look('where kits stand');
  await page.locator('.plan .fields input').fill('0.1');
  await look('kits within a time');
  await page.locator('.plan > .choices button, .plan .choices button').nth(1).click();
  await page.locator('.kit-list > li').first().waitFor(SLOW);
  await page.locator('.curve').waitFor(SLOW);
  await look('what keeps oil out');
  await print('the plan');
}

async function walkSeparator(page: Page, { look, ask, print }: Walk): Promise<void> {
  await ask(3);
  await page.locator('.how-full').waitFor(SLOW);
  await look('a separator');
  for (const row of await page.locator('button.due-row').all()) {
    await row.click();
    await look('another separator');
  }
  await print('a separator');
}

describe('in a language that does not exist', { timeout: LONG_MS }, () => {
  test.each(['freight-depot', 'two-bay-garage', 'gravel-haul-yard'])(
    'nothing on the screens and printed pages of %s is said but by the catalogue',
    async (yard) => {
      const context = await browser.newContext({
        viewport: { width: 1280, height: 900 },
        reducedMotion: 'reduce',
        serviceWorkers: 'block',
      });
      await speakPseudo(context);
      const page = await context.newPage();
      await page.goto(server.address);
      await page.locator('.zones .zone-row').first().waitFor(SLOW);
      const menu = page.locator('.yard-menu select');
      if ((await menu.inputValue()) !== yard) await menu.selectOption(yard);
      await expect.poll(() => menu.inputValue(), SLOW).toBe(yard);
      const steps = walk(page, ownWords(`${yard}.geojson`));
      await walkOilFound(page, steps);
      await walkSpill(page, steps);
      await walkPlan(page, steps);
      await walkSeparator(page, steps);
      expect(steps.escaped).toEqual({});
      await context.close();
    },
  );

  test('a map of one’s own, a broken one and a part that does not come say nothing else either', async () => {
    const context = await browser.newContext({ reducedMotion: 'reduce', serviceWorkers: 'block' });
    await speakPseudo(context);
    const page = await context.newPage();
    await page.goto(server.address);
    await page.locator('.zones .zone-row').first().waitFor(SLOW);
    const file = 'two-bay-garage.geojson';
    const text = readFileSync(`${root}/site-maps/${file}`, 'utf8');
    const bring = (name: string, content: string) =>
      page.setInputFiles('input[type=file]', { name, mimeType: 'application/json', buffer: Buffer.from(content) });
    await bring(file, text);
    await expect.poll(() => page.locator('.strip').count(), SLOW).toBe(0);
    const { escaped, look } = walk(page, ownWords(file));
    await look('a map without findings');
    await bring('broken.geojson', 'not { a map');
    await page.locator('.notice').waitFor(SLOW);
    const broken = await escapedOnPage(page, ['broken.geojson'], '.notice');
    expect({ ...escaped, broken }).toEqual({ broken: [] });
    await context.close();
  });
});
