import { defineConfig } from 'vitest/config';

/** One room's own pure tests, for `npm run mutate`: a change of that room's code is to be found by them alone. */
export default defineConfig({
  test: {
    root: '.',
    include: [`tests/${process.env.OILSHED_ROOM}/**/*.test.ts`],
    exclude: ['statistics', 'process', 'browser', 'long'].map((tier) => `**/*.${tier}.test.ts`),
    setupFiles: ['.config/few-runs.ts'],
    env: { OILSHED_PROGRESS: 'no' },
    // One thread after the other as it is: to begin anew for each file costs more than its tests.
    isolate: false,
    testTimeout: 30_000,
  },
});
