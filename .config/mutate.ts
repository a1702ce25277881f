import { defineConfig } from 'vitest/config';

/** One room's own tests, for `npm run mutate`: a change of that room's code is to be found by them alone. */
export default defineConfig({
  test: {
    root: '.',
    include: [`tests/${process.env.OILSHED_ROOM}/**/*.test.ts`],
    setupFiles: ['.config/few-runs.ts'],
    env: { OILSHED_PROGRESS: 'no' },
    testTimeout: 30_000,
  },
});
