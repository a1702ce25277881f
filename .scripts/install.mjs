// Runs before `npm start`, `npm test`, `npm run check` and `npm run oilshed` with nothing but Node present: installs what the lock file asks
// for where it is not there yet, and builds what is older than its source. Node built-ins only. With `--to-run` what only
// building and tests need may be missing once the program is built; with `--packages` nothing is built.
import { spawnSync } from 'node:child_process';
import * as fs from 'node:fs';
import { homedir } from 'node:os';
import { join } from 'node:path';
import { isBuilt, root } from './built.mjs';
import { bindingFault, missingPackages } from './sound.mjs';

const STAGED = '.install-';
const own = JSON.parse(fs.readFileSync(join(root, 'package.json'), 'utf8'));

function stop(...lines) {
  for (const line of lines) console.error(line);
  process.exit(1);
}

function refuseOldNode() {
  const [major, minor] = process.versions.node.split('.').map(Number);
  const [leastMajor, leastMinor] = own.engines.node.match(/\d+/g).map(Number);
  if (major > leastMajor || (major === leastMajor && minor >= leastMinor)) return;
  stop(`Oilshed needs Node ${leastMajor}.${leastMinor} or later; this is ${process.version}. Nothing was changed.`);
}

/** npm's own words go to standard error, so that standard output stays the program's. */
function npm(words, cwd) {
  const path = process.env.npm_execpath ?? '';
  const [command, first] = /npm-cli\.c?js$/.test(path) ? [process.execPath, [path]] : ['npm', []];
  const shell = command === 'npm' && process.platform === 'win32';
  return spawnSync(command, [...first, ...words], { cwd, shell, stdio: ['ignore', 2, 2] }).status === 0;
}

/** Whether npm can keep its downloads where it is told to; it stops where it cannot. */
function canKeepDownloads() {
  const cache = process.env.npm_config_cache || join(homedir(), '.npm');
  try {
    fs.mkdirSync(join(cache, '_cacache', 'tmp'), { recursive: true });
    for (const folder of [cache, join(cache, '_cacache'), join(cache, '_cacache', 'tmp')])
      fs.accessSync(folder, fs.constants.W_OK);
    return true;
  } catch {
    return false;
  }
}

/** Removes what an installation left that was stopped on its way. */
function removeLeftovers() {
  for (const name of fs.readdirSync(root).filter((each) => each.startsWith(STAGED))) {
    try {
      process.kill(Number(name.slice(STAGED.length)), 0);
    } catch ({ code }) {
      if (code === 'ESRCH') fs.rmSync(join(root, name), { recursive: true, force: true });
    }
  }
}

const UNTOUCHED = 'What was installed before, if anything, is as it was.';

/**
 * Installs in a folder beside, and changes folders once all is there and loads: what was installed before works until then.
 * Comes back with why it did not, null where it did.
 */
function install() {
  removeLeftovers();
  const staged = join(root, `${STAGED}${process.pid}`);
  const [fresh, current] = [join(staged, 'node_modules'), join(root, 'node_modules')];
  try {
    fs.mkdirSync(staged);
    const { scripts: _, ...plain } = own;
    fs.writeFileSync(join(staged, 'package.json'), JSON.stringify(plain));
    fs.copyFileSync(join(root, 'package-lock.json'), join(staged, 'package-lock.json'));
    const words = ['ci', '--include=dev', '--no-audit', '--no-fund', '--prefer-offline', '--engine-strict=false'];
    // By itself npm waits a minute and more for a network that is not there.
    words.push('--fetch-retries=2', '--fetch-retry-mintimeout=1000', '--fetch-retry-maxtimeout=5000');
    if (!canKeepDownloads()) words.push('--cache', join(staged, 'downloads'));
    // Some npm ends as if all were well where it could not fetch; so what it did is looked at.
    if (!npm(words, staged) || missingPackages({ withDev: true, folder: staged }).length > 0) return NOT_FETCHED;
    const fault = bindingFault(staged);
    if (fault !== null) return noBinary(fault);
    if (fs.existsSync(current)) fs.renameSync(current, join(staged, 'before'));
    fs.renameSync(fresh, current);
    return null;
  } finally {
    fs.rmSync(staged, { recursive: true, force: true });
  }
}

const NOT_FETCHED = [
  `npm ci did not install everything; its own words stand above. ${UNTOUCHED}`,
  'Look after the network and the registry that npm uses (npm config get registry), then try again.',
];

const noBinary = (fault) => [
  `A binary part of Oilshed does not load on ${process.platform} ${process.arch}, Node ${process.version}: ${fault}`,
  `It comes for Linux (glibc 2.29 or later, or musl), macOS and Windows, on x64 and arm64; use one of these. ${UNTOUCHED}`,
];

function ensureInstalled(needed) {
  if (missingPackages(needed).length === 0 && bindingFault() === null) return;
  console.error('Installing what Oilshed needs (once, and after an update) ...');
  const whyNot = install();
  if (whyNot) stop(...whyNot);
}

function ensureBuilt() {
  console.error('Building ...');
  const { status } = spawnSync(process.execPath, [join(root, '.scripts', 'build.mjs')], {
    cwd: root,
    stdio: ['ignore', 2, 2],
  });
  if (status !== 0) stop('The build did not succeed; its own words stand above.');
}

refuseOldNode();
const isFresh = isBuilt();
ensureInstalled({ withDev: !isFresh || !process.argv.includes('--to-run') });
if (!isFresh && !process.argv.includes('--packages')) ensureBuilt();
