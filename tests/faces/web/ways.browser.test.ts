import { readFileSync } from 'node:fs';
import { AxeBuilder } from '@axe-core/playwright';
import type { Browser, BrowserContextOptions, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, describe, expect, test } from 'vitest';
import { compileDrainage, oilshed, toGraph, waysThrough } from '../../../src/drainage/index.ts';
import { readSiteMap } from '../../../src/site-map/index.ts';
import { startApp } from '../../support/browser.ts';

const PHONE = { viewport: { width: 360, height: 740 }, hasTouch: true };
const DESK = { viewport: { width: 1440, height: 900 } };

const depot = compileDrainage(readSiteMap(readFileSync('site-maps/freight-depot.geojson', 'utf8')).map);
const graph = toGraph(depot);

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

async function open(options: BrowserContextOptions): Promise<void> {
  const context = await browser.newContext({ reducedMotion: 'reduce', ...options });
  page = await context.newPage();
  await page.goto(server.address);
  await page.locator('.zones .zone-row').nth(2).waitFor();
}

/** Picks a structure by its mark on the map, and waits for its ways. */
async function pickMark(id: string): Promise<void> {
  await page.locator(`.points [data-pick="${id}"]`).dispatchEvent('click');
  await page.locator('.ways').waitFor({ state: 'attached' });
}

const picked = () => page.locator('[data-picked]').getAttribute('data-picked');
const words = async () => ((await page.locator('.drains').textContent()) ?? '').replace(/\s+/g, ' ');

describe('what drains to what is picked, and what it drains to', () => {
  test('a lid says where it drains on to and whose oil gets to it, all of it within reach', async () => {
    await open(DESK);
    await pickMark('MH-4');
    const ways = waysThrough(graph, 'MH-4');
    const [{ to, link }] = ways.next;
    expect(await words()).toContain(
      `Drains on to ${depot.map.structures.find(({ id }) => id === to)?.name} by pipe ${link}`,
    );
    expect(await words()).toContain('Oil gets here from');
    const zones = oilshed(depot, 'MH-4').map(({ zone }) => zone.name);
    const named = await page.locator('.drains > div:last-child button').allTextContents();
    expect(named.sort()).toEqual(zones.sort());
  });

  test('the map draws both sides, told apart by the line and not by its colour, and the key says which is which', async () => {
    await open(DESK);
    await pickMark('MH-4');
    const { upLinks, downLinks } = waysThrough(graph, 'MH-4');
    const linesOf = async (side: string) => ((await page.locator(side).getAttribute('d')) ?? '').split('M').length - 1;
    expect([await linesOf('.way-up'), await linesOf('.way-down')]).toEqual([upLinks.length, downLinks.length]);
    const lookOf = (side: string) =>
      page.locator(side).evaluate((path) => [getComputedStyle(path).stroke, getComputedStyle(path).strokeDasharray]);
    const [[upInk, upDashes], [downInk, downDashes]] = [await lookOf('.way-up'), await lookOf('.way-down')];
    expect([upInk === downInk, upDashes === 'none', downDashes]).toEqual([true, false, 'none']);
    await page.locator('.key summary').click();
    expect(await page.locator('.key').textContent()).toMatch(
      /broken: drains to what is picked[\s\S]*whole: where that drains on/,
    );
    await page.keyboard.press('Escape');
    await expect.poll(() => page.locator('.ways').count()).toBe(0);
  });

  test('by keyboard, each name picks what it names', async () => {
    await open(DESK);
    await pickMark('MH-4');
    const [{ to }] = waysThrough(graph, 'MH-4').next;
    await page.locator('.drains button').first().focus();
    await page.keyboard.press('Enter');
    await expect.poll(picked).toBe(to);
    await expect.poll(words).toContain('Drains on to');
  });

  test('a zone says where it drains on to', async () => {
    await open(DESK);
    await page.locator('.zones .zone-row').first().click();
    await page.locator('.picked-zone .drains').waitFor();
    expect(await words()).toMatch(/^Drains on to .+; farther on .+\.$/);
    expect(await words()).not.toContain('Oil gets here');
  });

  test.each([
    ['a desk', DESK],
    ['a phone of 360 px', PHONE],
  ])('on %s nothing runs over the edge, and the accessibility rules hold', async (name, options) => {
    await open(options);
    await pickMark('MH-4');
    expect(await page.evaluate(() => document.documentElement.scrollWidth <= innerWidth)).toBe(true);
    const { violations } = await new AxeBuilder({ page }).include('.picked-point').analyze();
    expect(violations.map(({ id, nodes }) => [id, nodes.map(({ html }) => html)])).toEqual([]);
    if (process.env.SCREENSHOTS) await page.screenshot({ path: `${process.env.SCREENSHOTS}/ways-${name.length}.png` });
  });
});
