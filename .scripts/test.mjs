// `npm test`: types, lint, unused exports, then every test. Prints one closing line, "N passed, N failed", and exits
// non-zero on any failure. Extra words go to vitest: `npm test -- tests/block`. Without a Chromium the browser tests are left
// out by name; in CI that is a failure.
import { spawnSync } from 'node:child_process';
import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { findChromium } from './chromium.mjs';

const root = join(dirname(fileURLToPath(import.meta.url)), '..');
const words = process.argv.slice(2);
const bin = (name) => join(root, 'node_modules', '.bin', name);
let [passed, failed] = [0, 0];

function step(name, command, ...args) {
  const { status } = spawnSync(bin(command), args, {
    cwd: root,
    stdio: 'inherit',
    shell: process.platform === 'win32',
  });
  if (status === 0) passed++;
  else failed++;
  console.log(`${name}: ${status === 0 ? 'passed' : 'FAILED'}`);
}

if (words.length === 0) {
  step('types', 'tsc', '--noEmit');
  step('lint and format', 'biome', 'check', '--error-on-warnings', '.');
  step('unused code', 'knip', '--config', '.config/knip.json');
}

/** The tests that open a page in a browser. */
const browserTests = () =>
  readdirSync(join(root, 'tests'), { recursive: true })
    .filter((name) => /\.test\.tsx?$/.test(name))
    .map((name) => join('tests', name))
    .filter((file) => /from '(playwright-core|.*\/support\/browser\.ts)'/.test(readFileSync(join(root, file), 'utf8')));

let leftOut = [];
try {
  process.env.CHROMIUM_PATH = findChromium();
} catch (error) {
  console.error(error.message);
  leftOut = browserTests();
  if (process.env.CI) failed++;
}
const folder = mkdtempSync(join(tmpdir(), 'oilshed-test-'));
const report = join(folder, 'report.json');
const { status } = spawnSync(
  bin('vitest'),
  [
    'run',
    '--config',
    '.config/vitest.ts',
    '--reporter=default',
    '--reporter=json',
    `--outputFile.json=${report}`,
    ...leftOut.flatMap((file) => ['--exclude', file]),
    ...words,
  ],
  { cwd: root, stdio: 'inherit', shell: process.platform === 'win32' },
);
let skipped = 0;
try {
  const { numPassedTests, numFailedTests, numPendingTests, numFailedTestSuites } = JSON.parse(
    readFileSync(report, 'utf8'),
  );
  passed += numPassedTests;
  failed += numFailedTests || (status === 0 ? 0 : Math.max(1, numFailedTestSuites));
  skipped = numPendingTests;
} catch {
  failed++;
}
rmSync(folder, { recursive: true, force: true });
if (leftOut.length > 0) console.log(`Left out for want of a Chromium: ${leftOut.join(', ')}.`);
console.log(`${passed} passed, ${failed} failed${skipped > 0 ? `, ${skipped} skipped` : ''}`);
process.exit(failed > 0 || passed === 0 ? 1 : 0);
