import { spawnSync } from 'node:child_process';
import { expect, test } from 'vitest';
import { root } from './support/root.ts';

/** `npm test` of one quick test and one that opens a browser, on a machine that has none. */
function testWithoutChromium(more: NodeJS.ProcessEnv) {
  const { CI: _, ...others } = process.env;
  const env = { ...others, CHROMIUM_PATH: '/no/such/program', ...more };
  const words = ['.scripts/test.mjs', 'tests/units', 'tests/faces/web/where-from.browser.test.ts'];
  const { status, stdout, stderr } = spawnSync(process.execPath, words, { cwd: root, encoding: 'utf8', env });
  const [leftOut, last] = stdout.trimEnd().split('\n').slice(-2);
  return { status, stdout, stderr, leftOut, last };
}

test('without a Chromium all but the browser tests run, and those are named', { timeout: 120_000 }, () => {
  const { status, stdout, stderr, leftOut, last } = testWithoutChromium({});
  expect(status).toBe(0);
  expect(stderr).toContain('The browser tests need a Chromium. Install one');
  expect(stdout).toContain('tests/units/units.test.ts');
  for (const name of ['where-from', 'log-book-screen', 'planner-screen', 'spill-screen'])
    expect(leftOut).toContain(`faces/web/${name}.browser.test.ts`);
  expect(leftOut).not.toContain('units');
  expect(last).toMatch(/^[1-9]\d* passed, 0 failed$/);
});

test('in CI that is a failure', { timeout: 120_000 }, () => {
  const { status, leftOut, last } = testWithoutChromium({ CI: 'true' });
  expect(status).toBe(1);
  expect(leftOut).toContain('faces/web/where-from.browser.test.ts');
  expect(last).toMatch(/^[1-9]\d* passed, 1 failed$/);
});
