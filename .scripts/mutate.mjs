// `npm run mutate -- ROOM [FILE …]`: changes the code of one pure room a little at a time, and sees whether a test of that
// room fails. What was measured is kept in `.mutants/`, so that a second run only measures what changed; it is shown in
// docs/tests.md. Slow: seconds a change, hundreds of changes a file; so it is no part of `npm test` or of CI.
import { spawnSync } from 'node:child_process';
import { existsSync, readdirSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Stryker } from '@stryker-mutator/core';
import { root } from './built.mjs';
import { writeScores } from './mutation-scores.mjs';

/** These read and write, ask and show: their tests take minutes. */
const WORLDLY = ['faces', 'store'];
const [room = '', ...files] = process.argv.slice(2);
const rooms = readdirSync(join(root, 'src')).filter(
  (each) => existsSync(join(root, 'tests', each)) && !WORLDLY.includes(each),
);
if (!rooms.includes(room)) {
  console.error(`npm run mutate -- ROOM [FILE …]: the room is one of ${rooms.join(', ')}.`);
  process.exit(1);
}
process.chdir(root);
process.env.OILSHED_ROOM = room;
// A file of tests that cannot be loaded finds nothing, and Stryker takes that for a survivor.
const vitest = join(root, 'node_modules', '.bin', 'vitest');
const words = ['run', '--config', '.config/mutate.ts', '--reporter=dot'];
const { status } = spawnSync(vitest, words, { stdio: 'inherit', shell: process.platform === 'win32' });
if (status !== 0) process.exit(1);
const mutate = files.length > 0 ? files.map((file) => `src/${room}/${file}`) : [`src/${room}/**/*.ts`];
await new Stryker({
  mutate,
  testRunner: 'vitest',
  plugins: [import.meta.resolve('@stryker-mutator/vitest-runner')],
  vitest: { configFile: '.config/mutate.ts', related: false },
  coverageAnalysis: 'perTest',
  // What only runs while a file is loaded, tables of constants mostly, would take all tests of the room for each change.
  ignoreStatic: true,
  concurrency: 1,
  // Beside the time of the tests themselves; most endless loops are stopped sooner, by counting.
  timeoutMS: 1500,
  incremental: true,
  incrementalFile: `.mutants/${room}.json`,
  // The copy that is changed lies outside: tests inside node_modules would not be found.
  tempDirName: join(tmpdir(), `oilshed-mutants-${process.pid}`),
  ignorePatterns: ['dist', '.mutants', 'oilshed-data'],
  reporters: ['progress-append-only', 'clear-text'],
  clearTextReporter: { allowColor: false, logTests: false, reportTests: false },
  thresholds: { high: 90, low: 80, break: null },
  tsconfigFile: 'tsconfig.json',
  disableTypeChecks: false,
  allowConsoleColors: false,
}).runMutationTest();
writeScores();
