import { AxeBuilder } from '@axe-core/playwright';
import type { Browser, BrowserContextOptions, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, describe, expect, test } from 'vitest';
import { startApp } from '../../support/browser.ts';

const PHONE = { viewport: { width: 360, height: 740 }, hasTouch: true, isMobile: true };
const ON_ITS_SIDE = { ...PHONE, viewport: { width: 640, height: 360 } };
const DESK = { viewport: { width: 1280, height: 800 } };
const SLOW = { timeout: 20_000 };

let server: Awaited<ReturnType<typeof startApp>>['server'];
let browser: Browser;
let page: Page;
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
  expect(faults.splice(0)).toEqual([]);
});

async function open(options: BrowserContextOptions): Promise<void> {
  const context = await browser.newContext({ reducedMotion: 'reduce', serviceWorkers: 'block', ...options });
  page = await context.newPage();
  page.on('pageerror', ({ message }) => void faults.push(message));
  await page.goto(server.address);
  await page.locator('.zones .zone-row').nth(2).waitFor(SLOW);
}

const button = (name: string | RegExp) => page.getByRole('button', { name, exact: typeof name === 'string' });
const settled = () => expect.poll(() => page.locator('.app.stale').count(), SLOW).toBe(0);
async function ask(question: string): Promise<void> {
  await button(question).click();
  await expect.poll(() => page.locator('.answer').first().getAttribute('aria-busy'), SLOW).toBe('false');
}

describe('under a thumb', { timeout: 60_000 }, () => {
  test('after a touch no button of the next lid looks pressed', async () => {
    await open(PHONE);
    const looks = () =>
      page
        .locator('.next-lid .clean-or-oily button')
        .evaluateAll((all) => all.map((each) => getComputedStyle(each).backgroundColor));
    const [unpressed] = await looks();
    await button(/^Oily: /).tap();
    await page.locator('.said').waitFor();
    await settled();
    expect(new Set(await looks())).toEqual(new Set([unpressed]));
  });

  test.each([
    ['a phone', PHONE],
    ['a short phone', { ...PHONE, viewport: { width: 360, height: 640 } }],
    ['a phone on its side', ON_ITS_SIDE],
  ])('what was said does not cover Clean and Oily on %s, nor once the sheet was low', async (_, options) => {
    await open(options);
    const isReached = () =>
      page.locator('.next-lid .clean-or-oily button').evaluateAll((all) =>
        all.map((each) => {
          const { x, y, width, height } = each.getBoundingClientRect();
          const edges = [y + 4, y + height - 4].map((at) => document.elementFromPoint(x + width / 2, at));
          return edges.every((hit) => hit !== null && each.contains(hit));
        }),
      );
    const handle = page.locator('.handle');
    if (await handle.isVisible()) {
      // From the middle to the highest, and round to the lowest.
      await handle.tap();
      await handle.tap();
    }
    await button(/^Oily: /).tap();
    await page.locator('.said').waitFor();
    await settled();
    await expect.poll(isReached).toEqual([true, true]);
    await button(/^Clean: /).tap();
    await settled();
    await expect.poll(isReached).toEqual([true, true]);
  });

  test('everything that is touched is 44 pixels high and wide', async () => {
    await open(PHONE);
    const tooSmall = () =>
      page
        .locator('button, summary, select, input, label:has(input[type=file])')
        .filter({ visible: true })
        .evaluateAll((all) =>
          all
            .filter((each) => !each.closest('.unseen') && !each.matches('.unseen, .skip'))
            .map((each) => ({ each, box: each.getBoundingClientRect() }))
            .filter(({ box }) => box.width < 44 || box.height < 44)
            .map(({ each, box }) => `${each.outerHTML.slice(0, 80)} ${box.width} × ${box.height}`),
        );
    expect(await tooSmall()).toEqual([]);
    for (const question of ['Spill now', 'Prepare', 'Separator']) {
      await ask(question);
      expect(await tooSmall()).toEqual([]);
    }
  });

  test('an open key lies over the scale', async () => {
    await open(PHONE);
    await page.locator('.key summary').tap();
    const key = await page.locator('.key').boundingBox();
    const scale = await page.locator('.scale-and-north').boundingBox();
    expect(scale && key && scale.y < key.y + key.height).toBe(true);
    const order = await page.evaluate(() =>
      ['.key', '.scale-and-north'].map((each) =>
        Number(getComputedStyle(document.querySelector(each) as Element).zIndex),
      ),
    );
    expect(order[0]).toBeGreaterThan(order[1]);
  });

  test('on its side, and after it was turned, a phone shows the yard and not a blot', async () => {
    const part = () =>
      page.evaluate(() => {
        const map = document.querySelector('.map')?.getBoundingClientRect();
        const ground = document.querySelector('.yard-svg .ground')?.getBoundingClientRect();
        return map && ground ? Math.max(ground.width / map.width, ground.height / map.height) : 0;
      });
    const scale = async () => Number((await page.locator('.scale-and-north span').textContent())?.split(' ')[0]);
    await open(ON_ITS_SIDE);
    expect(await part()).toBeGreaterThan(0.6);
    expect(await scale()).toBeLessThanOrEqual(200);
    await page.setViewportSize({ width: 360, height: 640 });
    await expect.poll(part).toBeGreaterThan(0.6);
    expect(await scale()).toBeLessThanOrEqual(200);
    await page.setViewportSize(ON_ITS_SIDE.viewport);
    await expect.poll(part).toBeGreaterThan(0.6);
    expect(await scale()).toBeLessThanOrEqual(200);
    const [map, column] = [await page.locator('.map').boundingBox(), await page.locator('.column').boundingBox()];
    expect((map?.x ?? 0) + (map?.width ?? 0)).toBeLessThanOrEqual((column?.x ?? 0) + 1);
    const { violations } = await new AxeBuilder({ page }).analyze();
    expect(violations.map(({ id }) => id)).toEqual([]);
  });
});

describe('by keyboard', { timeout: 60_000 }, () => {
  test('the answer is one press away, and the questions come before the map', async () => {
    await open(DESK);
    await page.keyboard.press('Tab');
    expect(await page.locator(':focus').textContent()).toBe('Skip to the answer');
    expect(await page.locator('.skip').evaluate((skip) => skip.getBoundingClientRect().width)).toBeGreaterThan(44);
    await page.keyboard.press('Enter');
    await page.keyboard.press('Tab');
    expect(await page.locator(':focus').evaluate((at) => at.closest('.column-inner') !== null)).toBe(true);
    const places = await page.evaluate(() => {
      const all = [...document.querySelectorAll('.questions, .map, .column')];
      return all.map((each) => each.className.split(' ')[0]);
    });
    expect(places).toEqual(['questions', 'map', 'column']);
  });
});

describe('numbers', { timeout: 60_000 }, () => {
  test.each(['-100', '99999999', '0'])(
    'the range is named beside the field where %s is typed, and the field is marked',
    async (typed) => {
      await open(DESK);
      await ask('Spill now');
      await page.getByLabel('Or choose the ground').selectOption('Z1');
      await page.getByRole('button', { name: /^diesel/ }).click();
      const field = page.getByLabel('Or exactly, in gallons');
      const borders = () => field.evaluate((each) => getComputedStyle(each).borderTopStyle);
      expect(await borders()).toBe('solid');
      await field.fill(typed);
      const hint = page.locator('[aria-labelledby="how-much"] .hint');
      expect(await hint.textContent()).toBe('Write a number above 0, up to 26,400; until then the last answer stands.');
      expect(await borders()).toBe('double');
      expect(await field.getAttribute('aria-invalid')).toBe('true');
      expect(await field.getAttribute('aria-describedby')).toBe(await hint.getAttribute('id'));
      await field.fill('26400');
      expect(await hint.count()).toBe(0);
    },
  );
});

describe('while a new answer is worked out', { timeout: 60_000 }, () => {
  test('the old figures are pale, it is said, and a page that is printed says so too', async () => {
    await open(DESK);
    await page.locator('.finding-row', { hasText: 'SEP-1' }).first().click();
    const seen = await page.getByRole('spinbutton', { name: 'Gallons' }).evaluate((field: HTMLInputElement) => {
      field.value = '20';
      field.dispatchEvent(new Event('input', { bubbles: true }));
      dispatchEvent(new Event('beforeprint'));
      const printed = document.querySelector('.paper-stale')?.textContent;
      return new Promise<object>((resolve) => {
        requestAnimationFrame(() => {
          const answer = document.querySelector('.answer');
          const note = document.querySelector('.working-note');
          for (const animation of document.getAnimations()) animation.finish();
          resolve({
            printed,
            opacity: answer && getComputedStyle(answer).opacity,
            isBusy: answer?.getAttribute('aria-busy'),
            note: note && getComputedStyle(note).visibility,
          });
        });
      });
    });
    expect(seen).toEqual({
      printed: expect.stringContaining('being worked out anew'),
      opacity: '0.45',
      isBusy: 'true',
      note: 'visible',
    });
    await settled();
    expect(await page.locator('.answer').evaluate((answer) => getComputedStyle(answer).opacity)).toBe('1');
    await page.evaluate(() => {
      dispatchEvent(new Event('afterprint'));
      dispatchEvent(new Event('beforeprint'));
    });
    expect(await page.locator('.paper-stale').count()).toBe(0);
  });

  test('the button waits with printing until the figures stand', async () => {
    await open(DESK);
    const before = await page.locator('.answer').textContent();
    const printed = await page.evaluate(
      () =>
        new Promise<string | null | undefined>((resolve) => {
          window.print = () => {
            dispatchEvent(new Event('beforeprint'));
            resolve(document.querySelector('.paper h2')?.textContent);
          };
          (document.querySelector('.one-spill input') as HTMLInputElement).click();
          (document.querySelector('.top-act[aria-label="Print"]') as HTMLButtonElement).click();
        }),
    );
    await settled();
    expect(printed).not.toBe(before);
    expect(printed).toBe(await page.locator('.answer').textContent());
  });
});

test('the printed page of a spill names the step that it recommends, and stays one page', {
  timeout: 60_000,
}, async () => {
  await open(DESK);
  await ask('Spill now');
  for (const zone of ['Z1', 'Z5', 'Z7']) {
    await page.getByLabel('Or choose the ground').selectOption(zone);
    await page.getByRole('button', { name: /^diesel/ }).click();
    await page.getByRole('button', { name: /^A drum/ }).click();
    await page.locator('.orders').first().waitFor();
    await settled();
    const orders = await page.locator('.orders .action strong').allTextContents();
    await page.evaluate(() => void dispatchEvent(new Event('beforeprint')));
    const printed = await page.locator('.paper-steps tbody tr').allTextContents();
    const [, first] = /^1 (.+?)(?:–|KIT|[A-Z][a-z]+ kit)/.exec(printed[0]) ?? [];
    // On paper all steps stand in one order, on screen by who does them.
    expect(orders.some((order) => order.toLowerCase().includes(first.toLowerCase()))).toBe(true);
    expect(printed[0]).toMatch(/(\d+|<1) min|now/);
    for (const format of ['A4', 'Letter']) {
      const pdf = await page.pdf({ format });
      expect(pdf.toString('latin1').match(/\/Type\s*\/Page\b/g)).toHaveLength(1);
    }
    await page.evaluate(() => void dispatchEvent(new Event('afterprint')));
    await page.getByRole('button', { name: 'Another place' }).click();
  }
});
