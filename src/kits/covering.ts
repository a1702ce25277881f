import type { IntegerSolver, Row } from '../algorithms/index.ts';
import { type Median, pMedian } from './median.ts';

/** Which spots to open, by their numbers, and who is served. */
export interface Covering {
  /** Open spots, the fixed ones too, in their own order. */
  open: number[];
  /** Clients that are not within reach of any open spot. */
  left: number[];
  /** 0 where it is proved to be the best; else by how much of its cost it may be over that. */
  gap: number;
}

/**
 * The fewest spots, with the fixed ones, such that everybody who can be is within so much of one (set covering),
 * exactly. `within` is in the unit of the distances, and counts where it is just met. Clients that no spot is within
 * reach of ask for nothing and come back in `left`; were they given a row, no set would do. Of sets of the same size
 * any one may come back: nothing here prefers nearer spots. Null where the solver finds nothing within its limit. Held
 * to the radii of Pullan for OR-Library's instances in tests. O(clients × spots) to write down, exponential to solve at
 * worst.
 *
 * Each client has one row, "at least one of the spots near me is open", and each free spot costs 1, so the cost of a
 * solution is the number of spots and the rows are met exactly by the sets that cover.
 */
export function fewestWithin(
  { distance, fixed }: Pick<Median, 'distance' | 'fixed'>,
  within: number,
  solve: IntegerSolver,
): Covering | null {
  const spots = distance[0]?.length ?? 0;
  const rows: Row[] = fixed.map((spot) => ({ variables: [spot], factors: [1], atLeast: 1, atMost: 1 }));
  for (const row of distance) {
    const near = spotsWithin(row, within);
    if (near.length > 0) {
      rows.push({ variables: near, factors: near.map(() => 1), atLeast: 1, atMost: Number.POSITIVE_INFINITY });
    }
  }
  const cost = Array.from({ length: spots }, (_, spot) => (fixed.includes(spot) ? 0 : 1));
  const solution = solve({ cost, isWhole: cost.map(() => true), rows });
  return solution && covered(distance, { within, open: openIn(solution.values), gap: solution.gap });
}

/**
 * So many spots, besides the fixed ones, that the greatest weight is within so much of one (maximal covering), and of
 * the sets that do that the one with the least mean distance, exactly: two programs. With more asked for than there are
 * free spots, all are opened. Null where the solver finds nothing for the first program within its limit; where it
 * finds nothing for the second, the first one's set comes back.
 *
 * In the first, a client's variable "left" must be 1 unless a spot near it is open, and costs its weight; at the least
 * it is 0 or 1 by itself, so only the spots have to be whole. The second is the p-median with a row that allows no more
 * weight beyond reach than the first left there. `gap` is the worse one of the two, the first being a part of the
 * weight that is left, the second of the mean.
 */
export function mostWithin(median: Median, within: number, solve: IntegerSolver): Covering | null {
  const { distance, weight, count, fixed } = median;
  const spots = distance[0]?.length ?? 0;
  const free = Array.from({ length: spots }, (_, spot) => spot).filter((spot) => !fixed.includes(spot));
  const rows: Row[] = fixed.map((spot) => ({ variables: [spot], factors: [1], atLeast: 1, atMost: 1 }));
  const opened = Math.min(count, free.length);
  rows.push({ variables: free, factors: free.map(() => 1), atLeast: opened, atMost: opened });
  const cost: number[] = Array.from({ length: spots }, () => 0);
  distance.forEach((row, client) => {
    const near = spotsWithin(row, within);
    const left = cost.push(weight[client]) - 1;
    rows.push({
      variables: [...near, left],
      factors: [...near.map(() => 1), 1],
      atLeast: 1,
      atMost: Number.POSITIVE_INFINITY,
    });
  });
  const solution = solve({ cost, isWhole: cost.map((_, at) => at < spots), rows });
  if (!solution) return null;
  const { gap } = solution;
  const most = covered(distance, { within, open: openIn(solution.values.subarray(0, spots)), gap });
  const mostBeyond = most.left.reduce((sum, client) => sum + weight[client], 0);
  const nearest = pMedian(median, solve, { within, mostBeyond });
  return nearest ? covered(distance, { within, open: nearest.open, gap: Math.max(gap, nearest.gap) }) : most;
}

const spotsWithin = (row: readonly number[], within: number) =>
  Array.from(row.keys()).filter((spot) => row[spot] <= within);

const openIn = (values: Float64Array) => Array.from(values.keys()).filter((spot) => values[spot] === 1);

function covered(
  distance: Median['distance'],
  { within, open, gap }: { within: number; open: number[]; gap: number },
): Covering {
  const left = Array.from(distance.keys()).filter((client) => !open.some((spot) => distance[client][spot] <= within));
  return { open, left, gap };
}
