import { existsSync } from 'node:fs';
import { type Browser, chromium } from 'playwright-core';
import { listen } from '../../src/faces/server/listen.ts';
import { root } from './root.ts';

export { root };

/** The built web app on 127.0.0.1, and a browser to look at it with. */
export async function startApp(): Promise<{ server: Awaited<ReturnType<typeof listen>>; browser: Browser }> {
  if (!existsSync(`${root}/dist/web/index.html`)) throw new Error('dist/web is missing: run npm run build first');
  const server = await listen({ root });
  return { server, browser: await launchBrowser() };
}

/** A Chromium; `more` are words for its command line. */
export const launchBrowser = (...more: string[]): Promise<Browser> =>
  chromium.launch({
    executablePath: process.env.CHROMIUM_PATH ?? '/usr/bin/chromium',
    args: ['--no-sandbox', '--disable-gpu', '--disable-background-networking', ...more],
  });
