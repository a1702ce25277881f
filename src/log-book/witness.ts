/** What of a sealed entry tells whether two copies of a site's chain are the same so far. */
export interface Linked {
  hash: string;
}

/** How a copy of a site's chain stands to the log book's. */
export interface CopyComparison {
  /** Entries from the first on that both have. */
  common: number;
  /** Entries of the copy that the log book has not, all of them after the common ones. */
  lacking: number;
  /** Whether the log book went on differently after the common ones: what it lacks can then not follow any more. */
  isForked: boolean;
}

/**
 * Holds a copy of a site's chain against the log book's, both from their first entry on. A hash stands for everything
 * before it, so the place where they part is found by halving: where two hashes are the same, all entries before them
 * are, and where they differ, so do all after them. This holds for chains that are sound; it does not check that they
 * are. O(log entries).
 *
 * @example
 * import { compareCopy } from 'oilshed/log-book';
 * const chain = (...hashes: string[]) => hashes.map((hash) => ({ hash }));
 * compareCopy(chain('a', 'b', 'c'), chain('a', 'b')); // → { common: 2, lacking: 1, isForked: false }
 * compareCopy(chain('a', 'b', 'c'), chain('a', 'x')); // → { common: 1, lacking: 2, isForked: true }
 */
export function compareCopy(copy: readonly Linked[], book: readonly Linked[]): CopyComparison {
  let [common, different] = [0, Math.min(copy.length, book.length) + 1];
  while (different - common > 1) {
    const middle = (common + different) >> 1;
    if (copy[middle - 1].hash === book[middle - 1].hash) common = middle;
    else different = middle;
  }
  const lacking = copy.length - common;
  return { common, lacking, isForked: lacking > 0 && book.length > common };
}
