import { spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Browser, BrowserContextOptions, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, describe, expect, test } from 'vitest';
import { launchBrowser, root } from '../../support/browser.ts';
import { type FileHost, startFileHost } from '../../support/file-host.ts';

const SLOW = { timeout: 30_000 };
const FOLDER = '/some host/deep down/yard/';
/** As strict as a host may be with a page that computes with WebAssembly. */
const STRICT = [
  "default-src 'none'",
  "script-src 'self' 'wasm-unsafe-eval'",
  "style-src 'self'",
  "img-src 'self' data: blob:",
  "connect-src 'self'",
  "worker-src 'self'",
  "manifest-src 'self'",
  "base-uri 'none'",
  "form-action 'none'",
  "frame-ancestors 'none'",
].join('; ');

let place: string;
let browser: Browser;
beforeAll(async () => {
  place = mkdtempSync(join(tmpdir(), 'oilshed-host-'));
  // Into a folder of its own: what was built before has no part in it.
  const words = ['run', '--silent', 'build:static', '--', '--outDir', join(place, FOLDER)];
  const { status, stderr } = spawnSync('npm', words, {
    cwd: root,
    encoding: 'utf8',
    // Tests run with another one, which would build in what helps to develop.
    env: { ...process.env, NODE_ENV: 'production' },
    shell: process.platform === 'win32',
  });
  if (status !== 0) throw new Error(stderr);
  browser = await launchBrowser();
}, 240_000);
afterAll(async () => {
  await browser?.close();
  rmSync(place, { recursive: true, force: true });
});

let host: FileHost;
let page: Page;
let faults: string[];
afterEach(async () => {
  await page?.context().close();
  await host?.close().catch(() => {});
});

async function open(headers: Record<string, string> = {}, options: BrowserContextOptions = {}): Promise<void> {
  host = await startFileHost(place, headers);
  faults = [];
  const context = await browser.newContext({ reducedMotion: 'reduce', ...options });
  page = await context.newPage();
  page.on('pageerror', ({ message }) => void faults.push(message));
  page.on('console', (message) => {
    if (message.type() === 'error') faults.push(message.text());
  });
  await page.goto(`${host.address}${encodeURI(FOLDER)}`);
  await answered();
}

const answered = () => page.locator('.zones .zone-row').nth(2).waitFor(SLOW);
const button = (name: string) => page.getByRole('button', { name, exact: true });
async function kitsAnswered(): Promise<void> {
  await button('Prepare').click();
  await expect.poll(() => page.locator('.answer').first().textContent(), SLOW).toMatch(/^Put a kit at /);
}
/** Comes back once the browser has stored the whole program. */
const stored = () =>
  expect
    .poll(
      () =>
        page.evaluate<boolean>(`(async () => {
          const names = await caches.keys();
          const kept = await Promise.all(names.map(async (name) => (await caches.open(name)).keys()));
          return kept.flat().some(({ url }) => url.includes('.wasm')) && navigator.serviceWorker.controller !== null;
        })()`),
      SLOW,
    )
    .toBe(true);

describe('the page on a host of files, in a folder of a folder', { timeout: 120_000 }, () => {
  test.each([
    ['that says nothing of what a page may load', {}],
    ['with a strict content policy', { 'content-security-policy': STRICT }],
  ])('%s: answers, opens every demo yard and places kits, again after a reload', async (_, headers) => {
    await open(headers);
    expect(await page.locator('.log-strip').textContent()).toContain('There is no log book on this host.');
    for (const yard of ['Two-bay garage', 'Gravel haul yard', 'Freight depot']) {
      await page.locator('.yard-menu select').selectOption({ label: yard });
      await expect.poll(() => page.locator('.yard-menu option:checked').textContent(), SLOW).toContain(yard);
      await answered();
    }
    await kitsAnswered();
    // The question that was open is open again.
    await page.reload();
    await kitsAnswered();
    await stored();
    expect(faults).toEqual([]);
    const elsewhere = host.asked.filter(({ path, status }) => status !== 200 || !path.startsWith(FOLDER));
    expect(elsewhere).toEqual([]);
    expect(host.asked.filter(({ path }) => path.includes('/api/'))).toEqual([]);
  });

  test('with no network after the first visit: answers, and places kits for the first time', async () => {
    await open();
    await stored();
    await host.close();
    await page.reload();
    await answered();
    await kitsAnswered();
    await page.goto(`${host.address}${encodeURI(FOLDER)}#spill=Z-1`);
    await page.reload();
    await page.locator('h1', { hasText: 'Spill now' }).waitFor(SLOW);
  });

  test('says itself what it may load: no script that was put into it runs', async () => {
    await open();
    const ran = await page.evaluate<unknown>(`(() => {
      const script = document.createElement('script');
      script.textContent = 'globalThis.ran = true';
      document.head.append(script);
      return globalThis.ran;
    })()`);
    expect(ran).toBeUndefined();
    expect(faults.join()).toMatch(/Content Security Policy/);
  });

  test('has no log book: a visit waits on the device, and that is said plainly', async () => {
    await open();
    await button('Log book').first().click();
    await expect
      .poll(() => page.locator('.book-note').textContent(), SLOW)
      .toMatch(/^There is no log book on this host.*a spill can be saved as a file\./);
  });
});

describe('what the page says of itself', () => {
  const manifest = JSON.parse(readFileSync(join(root, 'dist', 'web', 'manifest.webmanifest'), 'utf8'));

  test('its manifest names it for good, and stays in the folder it lies in', () => {
    expect(manifest).toMatchObject({ id: '/', name: 'Oilshed', start_url: './', scope: './' });
  });

  test('its icons are PNGs of the size that is said, one may be cut to any shape, one is for the home screens of Apple', () => {
    const icons: { src: string; sizes: string; type: string; purpose?: string }[] = manifest.icons;
    const pngs = icons.filter(({ type }) => type === 'image/png');
    expect(pngs.map(({ sizes, purpose }) => [sizes, purpose])).toEqual([
      ['192x192', undefined],
      ['512x512', undefined],
      ['512x512', 'maskable'],
    ]);
    for (const { src, sizes } of [...pngs, { src: 'apple-touch-icon.png', sizes: '180x180' }])
      expect(pngSize(join(root, 'dist', 'web', src)), src).toBe(sizes);
    expect(icons.every(({ src }) => existsSync(join(root, 'dist', 'web', src)))).toBe(true);
  });

  test('all its addresses are relative', () => {
    const html = readFileSync(join(root, 'dist', 'web', 'index.html'), 'utf8');
    const addresses = [...html.matchAll(/(?:src|href)="([^"]*)"/g)].map(([, address]) => address);
    expect(addresses.length).toBeGreaterThan(4);
    expect(addresses.filter((address) => !address.startsWith('./'))).toEqual([]);
  });
});

/** Width and height in a PNG's first chunk (ISO 15948 §11.2.2). */
function pngSize(file: string): string {
  const bytes = readFileSync(file);
  expect(bytes.subarray(1, 4).toString('latin1')).toBe('PNG');
  return `${bytes.readUInt32BE(16)}x${bytes.readUInt32BE(20)}`;
}
