/** Times of one piece of work, in ms. */
export interface Times {
  least: number;
  median: number;
}

/** Everything measured adds to this and it is printed at the end, so that no work can be optimised away. */
export const consumed = { total: 0 };

/** Runs `work` once to warm up, then until it has run `most` times or for `budgetMs`, at least three times (once where `most` is 1). */
export function measure(work: () => number, { most = 30, budgetMs = 1500 } = {}): Times {
  if (most > 1) consumed.total += work();
  const times: number[] = [];
  const start = performance.now();
  while (times.length < most && (times.length < 3 || performance.now() - start < budgetMs)) {
    const before = performance.now();
    consumed.total += work();
    times.push(performance.now() - before);
  }
  times.sort((a, b) => a - b);
  return { least: times[0], median: times[times.length >> 1] };
}

/** e in time ∝ size^e, from the first size to the last. */
export function growthExponent(points: readonly { size: number; ms: number }[]): number {
  const [first, last] = [points[0], points[points.length - 1]];
  return Math.log(last.ms / first.ms) / Math.log(last.size / first.size);
}
