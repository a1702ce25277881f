import type { Page } from 'playwright-core';

/** Closes what a reload has opened again over the page. */
export async function closeDialog(page: Page): Promise<void> {
  await page.locator('main h1').waitFor();
  if (!new URL(page.url()).hash.includes('open=')) return;
  const dialog = page.locator('dialog[open]');
  await dialog.waitFor();
  await page.keyboard.press('Escape');
  await dialog.waitFor({ state: 'detached' });
}
