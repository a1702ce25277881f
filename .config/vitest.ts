import { availableParallelism } from 'node:os';
import { defineConfig, type TestProjectInlineConfiguration } from 'vitest/config';

/** Tests that say in their name what they take; every other test is pure. The long ones are for `npm run test:long`. */
const NAMED = ['statistics', 'process', 'browser', 'long'];

const tier = (name: string, more: TestProjectInlineConfiguration['test'] = {}): TestProjectInlineConfiguration => ({
  extends: true,
  test: { name, include: [`tests/**/*.${name}.test.{ts,tsx}`], ...more },
});

/** What only computes holds a core from end to end, and shares what it has imported. */
const COMPUTES = {
  pool: 'forks',
  isolate: false,
  maxWorkers: availableParallelism(),
  sequence: { groupOrder: 0 },
} as const;

/** What waits for programs and pages leaves room for another; each file has a process of its own, whose folder it may change. */
const WAITS = { pool: 'forks', maxWorkers: availableParallelism() + 1, sequence: { groupOrder: 1 } } as const;

export default defineConfig({
  test: {
    root: '.',
    // Tests read standard error: a busy machine makes any verb slow enough to tell of, and colours are for people.
    env: { OILSHED_PROGRESS: 'no', NO_COLOR: '1' },
    // A printed page carries its style in it, and without it has other pages.
    css: { include: [/src\/(drawing|faces\/print)\//] },
    testTimeout: 30_000,
    hookTimeout: 60_000,
    projects: [
      tier('pure', {
        include: ['tests/**/*.test.{ts,tsx}'],
        exclude: NAMED.map((name) => `tests/**/*.${name}.test.{ts,tsx}`),
        ...COMPUTES,
      }),
      tier('statistics', { testTimeout: 120_000, ...COMPUTES }),
      tier('process', WAITS),
      tier('browser', { testTimeout: 120_000, ...WAITS }),
    ],
  },
});
