// `npm run check`: what a change is held against in a minute. Types, lint, all pure tests, and those of the other tests that
// hang on what changed since the branch left the main one, as many as are quick by the time they took last; the others are named.
// Browser tests only where their own file changed. All of them run in `npm test`.
import { findChromium } from './chromium.mjs';
import { LINT, linesOf, runSteps, runTests, TYPES, timesOf } from './steps.mjs';

/** Seconds of tests, one after the other, that fit in. */
const MOST_SECONDS = 30;
/** A file of tests whose time nobody knows yet. */
const UNKNOWN_SECONDS = 5;

const start = performance.now();
const counts = [await runSteps(TYPES, LINT), runTests('pure tests', ['--project', 'pure'])];

const [base = 'HEAD'] = linesOf('git', 'merge-base', 'HEAD', 'origin/HEAD');
const changed = [
  ...linesOf('git', 'diff', '--name-only', base),
  ...linesOf('git', 'ls-files', '--others', '--exclude-standard'),
];
const { quick, slow } = byTime([
  ...relatedTo(base),
  ...changed.filter((file) => /^tests\/.*\.browser\.test\.tsx?$/.test(file)),
]);
if (quick.some((file) => file.includes('.browser.'))) process.env.CHROMIUM_PATH = findChromium();
if (quick.length > 0) counts.push(runTests('tests of what changed', quick));
else console.log('tests of what changed: none');
if (slow.length > 0) console.log(`Left to npm test, though what changed is in them: ${slow.join(', ')}.`);

const [passed, failed] = ['passed', 'failed'].map((key) => counts.reduce((sum, each) => sum + each[key], 0));
console.log(`${passed} passed, ${failed} failed, ${((performance.now() - start) / 1000).toFixed(0)} s`);
process.exit(failed > 0 ? 1 : 0);

/** Tests with numbers or processes that import what changed. */
function relatedTo(base) {
  if (changed.length === 0) return [];
  const words = ['list', '--config', '.config/vitest.ts', '--filesOnly', '--changed', base];
  const lines = linesOf(
    process.execPath,
    'node_modules/vitest/vitest.mjs',
    ...words,
    '--project',
    'statistics',
    '--project',
    'process',
  );
  return lines.flatMap((line) => /tests\/\S+\.test\.tsx?$/.exec(line) ?? []);
}

/** The quickest first, as many as fit. */
function byTime(files) {
  const times = timesOf();
  const secondsOf = (file) => times[file] ?? UNKNOWN_SECONDS;
  const [quick, slow] = [[], []];
  let seconds = 0;
  for (const file of [...new Set(files)].sort((a, b) => secondsOf(a) - secondsOf(b))) {
    seconds += secondsOf(file);
    (seconds <= MOST_SECONDS ? quick : slow).push(file);
  }
  return { quick, slow };
}
