import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { launchBrowser } from '../../support/browser.ts';
import { type Served, serveBook } from '../../support/serve.ts';

const PHONE = { viewport: { width: 360, height: 740 }, hasTouch: true, isMobile: true };
const SLOW = { timeout: 20_000 };

let browser: Browser;
let data: string;
let book: Served;
beforeAll(async () => {
  data = mkdtempSync(join(tmpdir(), 'oilshed-shared-'));
  [browser, book] = await Promise.all([launchBrowser(), serveBook(data)]);
});
afterAll(async () => {
  await browser?.close();
  await book?.kill();
  rmSync(data, { recursive: true, force: true });
});

async function phone(hash = ''): Promise<Page> {
  const page = await (await browser.newContext({ ...PHONE, reducedMotion: 'reduce' })).newPage();
  await page.goto(`${book.address}/${hash}`);
  return page;
}
const said = (page: Page) => page.locator('.said-steps li');
const sharing = (page: Page) => expect.poll(() => page.locator('.sharing').textContent(), SLOW);

test('two phones share the steps of one spill; without a signal one says so, and catches up', async () => {
  const one = await phone('#spill=Z5');
  await one.getByRole('button', { name: /^diesel/ }).tap();
  await one.getByRole('button', { name: /^A drum/ }).tap();
  await one.getByRole('button', { name: /^It is running/ }).tap();
  await sharing(one).toContain('within seconds');
  expect(await one.locator('.walk .walk-line').count()).toBe(1);

  const other = await phone();
  await other.locator('.spill-elsewhere button').tap(SLOW);
  await one.locator('.step-answer.first').tap(SLOW);
  await said(other).first().waitFor(SLOW);
  await other.locator('.said-back').first().tap();
  await expect.poll(() => said(one).count(), SLOW).toBe(0);

  await one.context().setOffline(true);
  await one.locator('.step-answer.first').tap(SLOW);
  await sharing(one).toContain('this phone only for now. Tell the others by voice.');
  expect(await said(other).count()).toBe(0);
  await one.context().setOffline(false);
  await said(other).first().waitFor({ timeout: 30_000 });
  await sharing(one).toContain('within seconds');
});
