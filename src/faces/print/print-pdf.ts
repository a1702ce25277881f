import { spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { delimiter, join } from 'node:path';
import { pathToFileURL } from 'node:url';

/** What a Chromium is called on a path, and where it stands on macOS and Windows, which put it on none. */
const NAMES = ['chromium', 'chromium-browser', 'google-chrome', 'google-chrome-stable', 'chrome', 'microsoft-edge'];
const PLACES = [
  '/Applications/Google Chrome.app/Contents/MacOS/Google Chrome',
  '/Applications/Chromium.app/Contents/MacOS/Chromium',
  '/Applications/Microsoft Edge.app/Contents/MacOS/Microsoft Edge',
  'C:\\Program Files\\Google\\Chrome\\Application\\chrome.exe',
  'C:\\Program Files (x86)\\Google\\Chrome\\Application\\chrome.exe',
  'C:\\Program Files (x86)\\Microsoft\\Edge\\Application\\msedge.exe',
];

/** The path of a Chromium on this machine, `CHROMIUM_PATH` alone where it is set; null without one. */
export function findChromium(env: NodeJS.ProcessEnv): string | null {
  if (env.CHROMIUM_PATH) return existsSync(env.CHROMIUM_PATH) ? env.CHROMIUM_PATH : null;
  const folders = (env.PATH ?? '').split(delimiter).filter((folder) => folder !== '');
  const onPath = folders.flatMap((folder) => NAMES.map((name) => join(folder, name)));
  return [...onPath, ...PLACES].find((place) => existsSync(place)) ?? null;
}

const MOST_MILLISECONDS = 300_000;

/** Prints a page to PDF with a new Chromium that keeps nothing and is closed afterwards; throws its message where there is no PDF. */
export function printPdf(chromium: string, html: string): Buffer {
  const folder = mkdtempSync(join(tmpdir(), 'oilshed-paper-'));
  try {
    const [page, pdf] = [join(folder, 'page.html'), join(folder, 'page.pdf')];
    writeFileSync(page, html);
    const { error, stderr } = spawnSync(
      chromium,
      [
        '--headless',
        ...(process.getuid?.() === 0 ? ['--no-sandbox'] : []),
        '--disable-gpu',
        '--disable-dev-shm-usage',
        '--disable-background-networking',
        '--disable-extensions',
        '--no-first-run',
        '--no-default-browser-check',
        `--user-data-dir=${join(folder, 'profile')}`,
        '--no-pdf-header-footer',
        `--print-to-pdf=${pdf}`,
        pathToFileURL(page).href,
      ],
      { encoding: 'utf8', stdio: ['ignore', 'ignore', 'pipe'], timeout: MOST_MILLISECONDS, killSignal: 'SIGKILL' },
    );
    if (existsSync(pdf)) return readFileSync(pdf);
    throw new Error(error?.message ?? (stderr.trim().split('\n').pop() || 'it said nothing'));
  } finally {
    rmSync(folder, { recursive: true, force: true, maxRetries: 5, retryDelay: 100 });
  }
}
