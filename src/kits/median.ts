import type { IntegerProgram, IntegerSolver, Row } from '../algorithms/index.ts';

/**
 * Where to open how many of some spots, for clients that each go to their nearest open one. Any unit of distance will
 * do: kits are placed by minutes on foot.
 */
export interface Median {
  /** Distance of each client to each spot, 0 or more; Infinity where there is no way. */
  distance: readonly (readonly number[])[];
  /** Weight of each client, 0 or more. */
  weight: readonly number[];
  /** How many of the free spots to open. */
  count: number;
  /** Spots that are open in any case and are not counted. */
  fixed: readonly number[];
}

export interface MedianAnswer {
  /** Open spots, the fixed ones too, in their own order. */
  open: number[];
  /** Σ weight × distance to the nearest open spot; Infinity where a client with weight cannot get to any. */
  cost: number;
  /** 0 where it is proved to be the least; else by how much of it it may be over that. */
  gap: number;
}

/** How much weight may be farther from every open spot than so much; `within` in the unit of the distances. */
export interface Reach {
  within: number;
  mostBeyond: number;
}

/** Weights are worth a difference from this part of all of them: less is a rounding error of the solver. */
const SAME_PART = 1e-7;

/**
 * The p-median problem, exactly, as an integer program in the clients' own distances (Cornuejols, Nemhauser and Wolsey
 * 1980; Elloumi 2010): for each client and each distance that occurs, "no open spot is this near", which costs the step
 * to the next distance. It has few coefficients and a tight bound. Null where the solver finds nothing within its
 * limit. A client that no spot can be got to from must be left out before. With `reach`, only sets that leave no more
 * weight than that beyond so great a distance: each client has a variable that says so already.
 *
 * Let D₁ < D₂ < … be the distances that occur for a client, and z(k) be 1 where no spot within D(k) is open, else 0.
 * Its nearest open spot is then D₁ + Σ (D(k+1) − D(k))·z(k) away: each distance that is not served costs the step to
 * the next. The first term is the same whatever is open and is added afterwards (`sure`). z(k) must hold unless a spot
 * at D(k) itself is open or z(k−1) did not hold: z(k) ≥ z(k−1) − Σ of the spots at D(k). With spots open or not, the
 * least z that satisfies this is 0 or 1, and since steps cost 0 or more, larger ones gain nothing: only the spots have
 * to be whole.
 *
 * The gap is proved on the whole cost, the sure part with it: the solver's bound is the program's cost less its gap, so
 * no set costs less than the bound that is formed here; it is a little on the low side, never on the high one. `cost`
 * is added up anew from the open spots, so it does not rest on the solver. Held to OR-Library's pmed1 to pmed5 in tests
 * (Beasley 1985). At most (clients + 1) × spots variables and about three coefficients for each; branch and bound is
 * exponential at worst.
 */
export function pMedian(
  { distance, weight, count, fixed }: Median,
  solve: IntegerSolver,
  reach: Reach = { within: Number.POSITIVE_INFINITY, mostBeyond: 0 },
): MedianAnswer | null {
  const spots = distance[0]?.length ?? 0;
  const free = Array.from({ length: spots }, (_, spot) => spot).filter((spot) => !fixed.includes(spot));
  const opened = Math.min(count, free.length);
  const far = farthest(distance);
  const cost: number[] = Array.from({ length: spots }, () => 0);
  const isWhole = cost.map(() => true);
  const rows: Row[] = [exactly(free, opened), ...fixed.map((spot) => exactly([spot], 1))];
  let sure = 0;
  // What cannot be got to is beyond any reach.
  const within = Math.min(reach.within, far);
  // With the slack, a set as good as the one that was found before is not refused for a rounding error.
  const beyond: { variable: number; weight: number }[] = [];
  let mostBeyond = reach.mostBeyond + SAME_PART * weight.reduce((sum, each) => sum + each, 0);
  distance.forEach((row, client) => {
    // Not to be got to counts as ten times the farthest, the last resort: a program takes no infinite cost. What is
    // given back as the cost of such a set is Infinity all the same.
    const metres = row.map((each) => (Number.isFinite(each) ? each : 10 * far + 1));
    const steps = addClient(
      { metres, weight: weight[client], opened: opened + fixed.length, within },
      { cost, isWhole, rows },
    );
    sure += weight[client] * steps.least;
    if (steps.least > within) mostBeyond -= weight[client];
    else if (steps.beyond !== null) beyond.push({ variable: steps.beyond, weight: weight[client] });
  });
  if (beyond.length > 0) {
    rows.push({
      variables: beyond.map(({ variable }) => variable),
      factors: beyond.map((each) => each.weight),
      atLeast: 0,
      atMost: mostBeyond,
    });
  }
  const solution = solve({ cost, isWhole, rows } satisfies IntegerProgram);
  if (!solution) return null;
  const open = Array.from({ length: spots }, (_, spot) => spot).filter((spot) => solution.values[spot] === 1);
  const total = costOf({ distance, weight }, open);
  const bound = (sure + solution.cost) * (1 - solution.gap);
  return { open, cost: total, gap: solution.gap === 0 || total === 0 ? 0 : Math.max(0, 1 - bound / total) };
}

/**
 * Σ weight × distance to the nearest of some open spots; Infinity where a client with weight cannot get to any. Clients
 * without weight are passed over, since nothing times no way is not a number. O(clients × open).
 */
export function costOf({ distance, weight }: Pick<Median, 'distance' | 'weight'>, open: readonly number[]): number {
  return distance.reduce(
    (sum, row, client) => (weight[client] > 0 ? sum + weight[client] * nearest(row, open).distance : sum),
    0,
  );
}

/** The nearest of some open spots: the first of those equally near; spot -1 and Infinity where there is none. */
export function nearest(row: readonly number[], open: readonly number[]): { spot: number; distance: number } {
  return open.reduce((best, spot) => (row[spot] < best.distance ? { spot, distance: row[spot] } : best), {
    spot: -1,
    distance: Number.POSITIVE_INFINITY,
  });
}

function farthest(distance: Median['distance']): number {
  return distance.reduce(
    (most, row) => row.reduce((max, each) => (Number.isFinite(each) ? Math.max(max, each) : max), most),
    0,
  );
}

const exactly = (variables: readonly number[], count: number): Row => ({
  variables,
  factors: variables.map(() => 1),
  atLeast: count,
  atMost: count,
});

/**
 * Adds one client's steps; gives its least distance, and the variable that is 1 where no open spot is `within` reach
 * (null where there is no such variable). With p of n spots open, at least one of any n − p + 1 is open, so a client's
 * nearest is among its n − p + 1 nearest spots: steps beyond those can never be paid and are not written down.
 */
function addClient(
  { metres, weight, opened, within }: { metres: readonly number[]; weight: number; opened: number; within: number },
  { cost, isWhole, rows }: { cost: number[]; isWhole: boolean[]; rows: Row[] },
): { least: number; beyond: number | null } {
  const order = Array.from(metres.keys()).sort((a, b) => metres[a] - metres[b]);
  const last = order.length - opened;
  let before: number | null = null;
  let beyond: number | null = null;
  for (let at = 0; at < order.length; ) {
    const here = metres[order[at]];
    const group: number[] = [];
    while (at < order.length && metres[order[at]] === here) group.push(order[at++]);
    // "None so near" holds unless one of this group is open or a nearer one was.
    const variables = [...group];
    const factors = group.map(() => 1);
    if (before !== null) {
      variables.push(before);
      factors.push(-1);
    }
    const isSure = at > last || at >= order.length;
    if (!isSure) {
      before = cost.length;
      cost.push(weight * (metres[order[at]] - here));
      isWhole.push(false);
      variables.push(before);
      factors.push(1);
    }
    if (here <= within) beyond = isSure ? null : before;
    const isFirst = variables.length === group.length + (isSure ? 0 : 1);
    rows.push({ variables, factors, atLeast: isFirst ? 1 : 0, atMost: Number.POSITIVE_INFINITY });
    if (isSure) break;
  }
  return { least: metres[order[0]], beyond };
}
