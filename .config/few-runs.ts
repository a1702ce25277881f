import { beforeEach, vi } from 'vitest';

/** A wrong program mostly fails at one of the first examples, and a mutant is a wrong program by the thousand. */
const MOST_RUNS = 30;
/** Tests of size take as long as all others of their room. */
const LEFT_OUT = /overflow the stack|is read once|is not looked through/;

vi.mock('fast-check', async (original) => {
  const real = (await original<typeof import('fast-check')>()).default;
  const assert: typeof real.assert = (property, params) =>
    real.assert(property, {
      ...params,
      numRuns: Math.min(params?.numRuns ?? MOST_RUNS, MOST_RUNS),
      // That it fails is enough: no smaller example is looked for.
      endOnFailure: true,
    });
  return { default: { ...real, assert } };
});

beforeEach(({ task, skip }) => skip(LEFT_OUT.test(task.name)));
