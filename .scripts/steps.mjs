// What `npm test` and `npm run check` have in common: steps whose output is shown once they end, tests that are counted, and how long each file of tests took last time.
import { spawn, spawnSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join, relative, sep } from 'node:path';
import { root } from './built.mjs';

const cache = join(root, 'node_modules', '.cache', 'oilshed');
const shell = process.platform === 'win32';
const bin = (name) => join(root, 'node_modules', '.bin', name);
const secondsSince = (start) => `${((performance.now() - start) / 1000).toFixed(0)} s`;

/** Types, of all files; what did not change since the last time is not looked at again. */
export const TYPES = [
  'types',
  'tsc',
  '--noEmit',
  '--incremental',
  '--tsBuildInfoFile',
  join(cache, 'types.tsbuildinfo'),
];
export const LINT = ['lint and format', 'biome', 'check', '--error-on-warnings', '.'];
export const UNUSED = ['unused code', 'knip', '--config', '.config/knip.json'];

/** Runs steps at once, and says each with its output when it ends; comes back with how many passed and failed. */
export async function runSteps(...steps) {
  const statuses = await Promise.all(steps.map(runStep));
  const passed = statuses.filter((status) => status === 0).length;
  return { passed, failed: steps.length - passed };
}

function runStep([name, command, ...words]) {
  const start = performance.now();
  const child = spawn(bin(command), words, { cwd: root, stdio: ['ignore', 'pipe', 'pipe'], shell });
  const said = [];
  for (const stream of [child.stdout, child.stderr]) stream.on('data', (part) => said.push(part));
  return new Promise((resolve, reject) => {
    child.once('error', reject);
    child.once('close', (status) => {
      if (status !== 0) process.stdout.write(Buffer.concat(said));
      console.log(`${name}: ${status === 0 ? 'passed' : 'FAILED'}, ${secondsSince(start)}`);
      resolve(status);
    });
  });
}

/** Runs tests by vitest with these words, and counts them. Tests that could not even begin count as failed. */
export function runTests(name, words) {
  const start = performance.now();
  const folder = mkdtempSync(join(tmpdir(), 'oilshed-test-'));
  const report = join(folder, 'report.json');
  const all = ['run', '--config', '.config/vitest.ts', ...words];
  const reporters = ['--reporter=default', '--reporter=json', `--outputFile.json=${report}`];
  const { status } = spawnSync(bin('vitest'), [...all, ...reporters], { cwd: root, stdio: 'inherit', shell });
  try {
    const found = JSON.parse(readFileSync(report, 'utf8'));
    keepTimes(found.testResults);
    const failed = found.numFailedTests || (status === 0 ? 0 : Math.max(1, found.numFailedTestSuites));
    return { passed: found.numPassedTests, failed, skipped: found.numPendingTests };
  } catch {
    return { passed: 0, failed: 1, skipped: 0 };
  } finally {
    rmSync(folder, { recursive: true, force: true });
    console.log(`${name}: ${secondsSince(start)}`);
  }
}

const timesFile = join(cache, 'test-times.json');

/** Seconds that files of tests took when they last ran here, by name. */
export function timesOf() {
  try {
    return JSON.parse(readFileSync(timesFile, 'utf8'));
  } catch {
    return {};
  }
}

function keepTimes(files) {
  const took = files.map(({ name, startTime, endTime }) => [
    relative(root, name).split(sep).join('/'),
    Math.round((endTime - startTime) / 100) / 10,
  ]);
  mkdirSync(dirname(timesFile), { recursive: true });
  writeFileSync(timesFile, JSON.stringify({ ...timesOf(), ...Object.fromEntries(took) }, null, 1));
}

/** Lines of what a program said. */
export function linesOf(command, ...words) {
  const { status, stdout } = spawnSync(command, words, { cwd: root, encoding: 'utf8' });
  return status === 0 ? stdout.split('\n').filter((line) => line !== '') : [];
}
