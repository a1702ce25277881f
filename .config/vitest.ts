import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    root: '.',
    include: ['tests/**/*.test.{ts,tsx}'],
    // Tests read standard error, and a busy machine makes any verb slow enough to tell of.
    env: { OILSHED_PROGRESS: 'no' },
    testTimeout: 30_000,
    hookTimeout: 60_000,
  },
});
