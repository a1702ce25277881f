import type { Flat } from './flat.ts';

/** Distance from a place to its nearest neighbour, at the middle of all; infinite with fewer than two. O(n log n) on yards. */
export function spacingOf(places: readonly Flat[]): number {
  const sorted = [...places].sort((a, b) => a[0] - b[0]);
  const nearest = sorted.map((here, at) => {
    let least = Number.POSITIVE_INFINITY;
    for (const step of [-1, 1]) {
      // Sorted by x, so the search ends where x alone is farther than the nearest so far.
      for (let other = at + step; other >= 0 && other < sorted.length; other += step) {
        if (Math.abs(sorted[other][0] - here[0]) >= least) break;
        least = Math.min(least, Math.hypot(sorted[other][0] - here[0], sorted[other][1] - here[1]));
      }
    }
    return least;
  });
  return nearest.sort((a, b) => a - b)[Math.floor(nearest.length / 2)] ?? Number.POSITIVE_INFINITY;
}
