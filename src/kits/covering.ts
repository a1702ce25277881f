import type { IntegerSolver, Row } from '../algorithms/index.ts';
import { type Median, pMedian } from './median.ts';

export interface Covering {
  open: number[];
  /** Clients that are not within reach of any open spot. */
  left: number[];
  gap: number;
}

/** The fewest spots, with the fixed ones, such that everybody who can be is within so much of one (set covering), exactly. */
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
 * So many spots, besides the fixed ones, that the greatest weight is within so much of one (maximal covering), and of the
 * sets that do that the one with the least mean distance, exactly: two programs.
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
