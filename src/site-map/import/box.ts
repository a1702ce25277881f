import type { Point } from '../measure.ts';

export type Box = [left: number, low: number, right: number, high: number];

/** The least box around points, wider by so many metres on each side. O(points). */
export function boxAround(points: readonly Point[], marginM = 0): Box {
  let [left, low, right, high]: Box = [Infinity, Infinity, -Infinity, -Infinity];
  for (const [x, y] of points) {
    [left, low] = [Math.min(left, x), Math.min(low, y)];
    [right, high] = [Math.max(right, x), Math.max(high, y)];
  }
  return [left - marginM, low - marginM, right + marginM, high + marginM];
}
