import { defineConfig } from 'vitest/config';

/** Tests for `npm run test:long`: one file after the other, since each takes the machine. */
export default defineConfig({
  test: {
    root: '.',
    include: ['tests/**/*.long.test.ts'],
    env: { OILSHED_PROGRESS: 'no', NO_COLOR: '1' },
    fileParallelism: false,
    testTimeout: 600_000,
    hookTimeout: 60_000,
  },
});
