/** Shares that add up to less than this much off 1 are taken as a rounding. */
export const SHARE_TOLERANCE = 0.005;

export interface DividedShares {
  shares: number[];
  /** What the stated shares add up to, before anything was done about it. */
  stated: number;
  /** Whether every way out had its share stated. */
  allStated: boolean;
}

/**
 * Divides what leaves one point over its ways out. A way without a share gets an equal part of what the stated shares
 * leave. Stated shares above 1 together are scaled down to 1. Stated shares below 1 together, with no
 * way left open, stay as they are: the rest leaves by a way that is not on the map.
 *
 * @example
 * import { divideShares } from 'oilshed/site-map';
 * divideShares([0.7, undefined]).shares; // → [0.7, 0.3]
 */
export function divideShares(stated: readonly (number | undefined)[]): DividedShares {
  const sum = stated.reduce<number>((total, share) => total + (share ?? 0), 0);
  const open = stated.filter((share) => share === undefined).length;
  const each = open > 0 ? Math.max(0, 1 - sum) / open : 0;
  const isRounding = open === 0 && Math.abs(sum - 1) <= SHARE_TOLERANCE;
  const scale = sum > 1 || isRounding ? 1 / sum : 1;
  return {
    shares: stated.map((share) => (share === undefined ? each : share * scale)),
    stated: sum,
    allStated: open === 0,
  };
}
