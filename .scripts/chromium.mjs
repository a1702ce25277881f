// Finds a Chromium for the browser tests. Under CI as root it installs Debian's; elsewhere it names what to install.
import { spawnSync } from 'node:child_process';
import { existsSync } from 'node:fs';

const PLACES = [
  '/usr/bin/chromium',
  '/usr/bin/chromium-browser',
  '/usr/bin/google-chrome',
  '/Applications/Google Chrome.app/Contents/MacOS/Google Chrome',
  '/Applications/Chromium.app/Contents/MacOS/Chromium',
  'C:\\Program Files\\Google\\Chrome\\Application\\chrome.exe',
];

const found = () => PLACES.find((place) => existsSync(place));

/** Path of a Chromium, that of CHROMIUM_PATH alone where it is set, or an Error that says what to install. */
export function findChromium() {
  const { CHROMIUM_PATH: named } = process.env;
  if (named && existsSync(named)) return named;
  const here = named ? undefined : found();
  if (here) return here;
  if (!named && process.env.CI && process.getuid?.() === 0) {
    const quiet = { stdio: ['ignore', 2, 2], env: { ...process.env, DEBIAN_FRONTEND: 'noninteractive' } };
    spawnSync('apt-get', ['update', '-q'], quiet);
    spawnSync('apt-get', ['install', '-y', '-q', '--no-install-recommends', 'chromium'], quiet);
    const installed = found();
    if (installed) return installed;
  }
  throw new Error(
    'The browser tests need a Chromium. Install one (Debian and Ubuntu: sudo apt-get install chromium) or set CHROMIUM_PATH to its program.',
  );
}
