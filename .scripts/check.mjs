// `npm run check`: whether a change holds, told in a minute. Types, lint and all pure tests; and of the other tests those that import
// what changed since the branch left the main one, as many as are quick by the time they took last. Those of the browser only
// where their own file changed. What is left to `npm test` is named; nothing is built.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { isBuilt, root } from './built.mjs';
import { compileOrStop } from './catalogue.mjs';
import { findChromium } from './chromium.mjs';
import { LINT, linesOf, runSteps, runTests, TYPES, timesOf } from './steps.mjs';

/** Seconds of tests, one after the other, that fit in. */
const MOST_SECONDS = 20;
/** A file of tests whose time nobody knows yet. */
const UNKNOWN_SECONDS = 5;
/** Tests that start the built program or open the built page. */
const OF_THE_BUILT = /\bdist\b|support\/(serve|browser)\.ts/;

const start = performance.now();
compileOrStop();
const counts = [await runSteps(TYPES, LINT), runTests('pure tests', ['--project', 'pure'])];

const [base = 'HEAD'] = linesOf('git', 'merge-base', 'HEAD', 'origin/HEAD');
const changed = linesOf('git', 'diff', '--name-only', '--diff-filter=d', base);
changed.push(...linesOf('git', 'ls-files', '--others', '--exclude-standard'));
const { now, later } = divided([...relatedTests(), ...changed.filter((file) => /\.browser\.test\.tsx?$/.test(file))]);
if (now.some((file) => file.includes('.browser.'))) process.env.CHROMIUM_PATH = findChromium();
if (now.length > 0) counts.push(runTests('tests of what changed', now));
else console.log('tests of what changed: none');
if (later.length > 0) console.log(`Left to npm test, though they hang on what changed: ${later.join(', ')}.`);

const [passed, failed] = ['passed', 'failed'].map((key) => counts.reduce((sum, each) => sum + each[key], 0));
console.log(`${passed} passed, ${failed} failed, ${((performance.now() - start) / 1000).toFixed(0)} s`);
process.exit(failed > 0 ? 1 : 0);

/** Statistical tests and those with processes that import what changed. */
function relatedTests() {
  if (changed.length === 0) return [];
  const projects = ['--project', 'statistics', '--project', 'process'];
  const words = ['list', '--config', '.config/vitest.ts', '--filesOnly', '--changed', base, ...projects];
  const lines = linesOf(process.execPath, 'node_modules/vitest/vitest.mjs', ...words);
  return lines.flatMap((line) => /tests\/\S+\.test\.tsx?$/.exec(line) ?? []);
}

/** The quickest first, as many as fit; what is not built as it stands cannot be started. */
function divided(files) {
  const [times, canStart] = [timesOf(), isBuilt()];
  const secondsOf = (file) => times[file] ?? UNKNOWN_SECONDS;
  const [now, later] = [[], []];
  let seconds = 0;
  for (const file of [...new Set(files)].sort((a, b) => secondsOf(a) - secondsOf(b))) {
    const canRun = canStart || !OF_THE_BUILT.test(readFileSync(join(root, file), 'utf8'));
    if (canRun) seconds += secondsOf(file);
    (canRun && seconds <= MOST_SECONDS ? now : later).push(file);
  }
  return { now, later };
}
