/** What work comes to that was not begun, as too much was waiting. */
export const CROWDED = Symbol('crowded');

/** Runs work in the order it comes, so much of it at once, while no more than so much waits. */
export function queue(atOnce: number, mostWaiting: number) {
  const waiting: (() => void)[] = [];
  let running = 0;
  return async <T>(work: () => Promise<T>): Promise<T | typeof CROWDED> => {
    if (running === atOnce && waiting.length === mostWaiting) return CROWDED;
    if (running < atOnce) running++;
    else await new Promise<void>((begin) => waiting.push(begin));
    try {
      return await work();
    } finally {
      const next = waiting.shift();
      if (next) next();
      else running--;
    }
  };
}

/** A queue for each key, kept while there is work in it. */
export function queues(atOnce: number, mostWaiting: number) {
  const kept = new Map<string, { run: ReturnType<typeof queue>; inside: number }>();
  return async <T>(key: string, work: () => Promise<T>): Promise<T | typeof CROWDED> => {
    const mine = kept.get(key) ?? { run: queue(atOnce, mostWaiting), inside: 0 };
    kept.set(key, mine);
    mine.inside++;
    try {
      return await mine.run(work);
    } finally {
      if (--mine.inside === 0) kept.delete(key);
    }
  };
}
