// `npm test`: types, lint, unused exports, then every test but the long ones. Prints one closing line, "N passed, N failed", and
// exits non-zero on any failure. Extra words go to vitest: `npm test -- tests/block`. Without a Chromium the browser tests are
// left out by name; in CI that is a failure.
import { readdirSync } from 'node:fs';
import { join } from 'node:path';
import { root } from './built.mjs';
import { compileOrStop } from './catalogue.mjs';
import { findChromium } from './chromium.mjs';
import { LINT, runSteps, runTests, TYPES, UNUSED } from './steps.mjs';

compileOrStop();
const words = process.argv.slice(2);
let { passed, failed } = words.length === 0 ? await runSteps(TYPES, LINT, UNUSED) : { passed: 0, failed: 0 };

let leftOut = [];
try {
  process.env.CHROMIUM_PATH = findChromium();
} catch (error) {
  console.error(error.message);
  leftOut = readdirSync(join(root, 'tests'), { recursive: true }).filter((name) => /\.browser\.test\.tsx?$/.test(name));
  if (process.env.CI) failed++;
}
const excluded = leftOut.flatMap((name) => ['--exclude', `tests/${name}`]);
const tests = runTests('tests', [...excluded, ...words]);
passed += tests.passed;
failed += tests.failed;
if (leftOut.length > 0) console.log(`Left out for want of a Chromium: ${leftOut.join(', ')}.`);
console.log(`${passed} passed, ${failed} failed${tests.skipped > 0 ? `, ${tests.skipped} skipped` : ''}`);
process.exit(failed > 0 || passed === 0 ? 1 : 0);
