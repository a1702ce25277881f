import { effect } from '@preact/signals';
import { sources, sourcesProblems } from './finding.ts';
import { notice } from './yard.ts';

/** A browser that is never idle is not waited for longer. */
const LONGEST_WAIT_MS = 5_000;

/** Comes back once the first answer is on screen, or is known not to come, and the browser has nothing else to do. */
export const afterFirstAnswer = (): Promise<void> =>
  new Promise((resolve) => {
    effect(() => {
      if (sources.value === null && sourcesProblems.value.length === 0 && notice.value === null) return;
      if ('requestIdleCallback' in globalThis) requestIdleCallback(() => resolve(), { timeout: LONGEST_WAIT_MS });
      else setTimeout(resolve);
    });
  });
