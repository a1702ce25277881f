import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { startApp } from '../../support/browser.ts';
import { walk } from '../../support/walk.ts';

let server: Awaited<ReturnType<typeof startApp>>['server'];
let browser: Browser;
beforeAll(async () => {
  ({ server, browser } = await startApp());
});
afterAll(async () => {
  await browser?.close();
  await server?.close();
});

/** A page of a device that has kept nothing yet; `fault` is run in it before its own code. */
async function freshPage(fault = ''): Promise<Page> {
  const context = await browser.newContext({
    viewport: { width: 1280, height: 900 },
    locale: 'en-US',
    colorScheme: 'light',
    reducedMotion: 'reduce',
    serviceWorkers: 'block',
  });
  await context.addInitScript(fault);
  const page = await context.newPage();
  await page.goto(server.address);
  return page;
}

/** The same walk each time, so that a failure is one of the change that is tried; another seed walks elsewhere. */
const SEED = Number(process.env.OILSHED_WALK_SEED ?? 42);
const STEPS = Number(process.env.OILSHED_WALK_STEPS ?? 500);

test(`a walk of ${STEPS} steps of clicks, typing, Back, Forward and reload loses nothing`, {
  timeout: 900_000,
}, async () => {
  const page = await freshPage();
  const faults: string[] = [];
  page.on('pageerror', ({ message }) => void faults.push(message));
  await walk(page, { seed: SEED, steps: STEPS });
  expect(faults).toEqual([]);
  await page.context().close();
});

/** What is not kept, in the browser's own words: the name ends with the mark of the yard. */
const notKept = (part: string) => `{
  const set = Storage.prototype.setItem;
  Storage.prototype.setItem = function (key, value) { if (!key.startsWith('oilshed-${part}')) set.call(this, key, value); };
}`;

test.each([
  ['what forms hold is not kept', notKept('forms'), /the note|the day/],
  ['findings are not kept', notKept('findings'), /the findings|the amount found|the address/],
  ['the spill is not kept', notKept('spill '), /the place|the fluid|the amount spilled|the address/],
  [
    'nobody heeds Back',
    `{
    const listen = globalThis.addEventListener;
    globalThis.addEventListener = (type, ...more) => { if (type !== 'popstate') listen(type, ...more); };
  }`,
    /the question|the yard|a dialog|the form|what is picked|the address/,
  ],
  ['a step is not written down', 'history.pushState = () => {};', /the address|waitForFunction/],
])('the walk finds it when %s', { timeout: 900_000 }, async (_, fault, found) => {
  const page = await freshPage(fault);
  await expect(walk(page, { seed: 7, steps: 500 })).rejects.toThrow(found);
  await page.context().close();
});
