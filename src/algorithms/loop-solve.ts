/**
 * Chances of stepping between the states of one loop, and of stepping out of it for good. For each state the chances of
 * its steps and its `hit` add up to at most 1; what they leave is the chance to be lost. Nothing of it is checked.
 */
export interface Loop {
  size: number;
  /** Steps inside the loop: from, to (0 to size - 1) and the chance of each. Steps between the same pair add up. */
  from: number[];
  to: number[];
  chance: number[];
  /** For each state, the chance that its next step ends in a hit. */
  hit: Float64Array;
}

/** Loops up to this many states are solved by elimination, exactly; larger ones by iteration. */
const LARGEST_ELIMINATION = 300;
/** The most steps an iteration may touch; it counts work and not seconds, so the same input gives the same answer. */
const MOST_WORK = 200_000_000;
/**
 * Losses smaller than this are roundings of none. So a state that truly leaves the loop less often, once in 10¹² steps, counts as one
 * that never does.
 */
const ROUNDING = 1e-12;

/**
 * For each state of a loop, the chance of ever ending in a hit: the least solution h ≥ 0 of h = P·h + hit.
 *
 * A loop that nothing leaves gives 0, not NaN. Elimination follows Grassmann, Taksar and Heyman (1985): it subtracts
 * nothing but the given chances from 1, so a loop that loses one part in 10⁹ a round is solved to the precision of that
 * part. O(states³) at worst and near O(steps) for the few-node loops of real maps. Above 300 states: Gauss-Seidel sweeps
 * from zero, which rise to the answer and are stopped at a relative change of 1e-14 or at a bound on the work, so there
 * it may be too low.
 *
 * The least solution is the right one: states that circle for ever satisfy the equations with any chance of a hit, and
 * what is true of them is that they never hit.
 *
 * @example
 * import { solveLoop } from 'oilshed/algorithms';
 * [...solveLoop({ size: 2, from: [0, 1], to: [1, 0], chance: [0.5, 0.5], hit: Float64Array.of(0.5, 0) })]; // → [2 / 3, 1 / 3]
 */
export function solveLoop(loop: Loop): Float64Array {
  return loop.size <= LARGEST_ELIMINATION ? eliminate(loop) : iterate(loop);
}

/**
 * Takes out one state after another: a way through it becomes a step past it, of the chance to step in times the chance,
 * of all its steps elsewhere, to take that one. Chances to hit from the states that are left stay what they were. The
 * last state then has only steps out, and the others follow from it backwards.
 *
 * The chance to stay in a state round after round never appears: the divisor is the sum of the steps elsewhere and of
 * what leaves the loop, positive numbers all, and not 1 less that chance, which would lose every digit in a loop that
 * hardly loses anything.
 */
function eliminate({ size, from, to, chance, hit }: Loop): Float64Array {
  const out = Array.from({ length: size }, () => new Map<number, number>());
  const into = Array.from({ length: size }, () => new Set<number>());
  const leave = new Float64Array(size).fill(1);
  const hits = Float64Array.from(hit);
  const add = (a: number, b: number, amount: number) => {
    out[a].set(b, (out[a].get(b) ?? 0) + amount);
    into[b].add(a);
  };
  chance.forEach((amount, step) => {
    add(from[step], to[step], amount);
    leave[from[step]] -= amount;
  });
  for (let state = 0; state < size; state++) if (leave[state] < ROUNDING) leave[state] = 0;

  const moves = new Float64Array(size);
  for (let gone = 0; gone < size; gone++) {
    const steps = [...out[gone]].filter(([head]) => head > gone);
    moves[gone] = steps.reduce((sum, [, amount]) => sum + amount, leave[gone]);
    if (moves[gone] === 0) {
      // It never leads on: what goes into it is lost.
      for (const tail of into[gone]) if (tail > gone) leave[tail] += out[tail].get(gone) ?? 0;
      continue;
    }
    for (const tail of into[gone]) {
      if (tail <= gone) continue;
      const factor = (out[tail].get(gone) ?? 0) / moves[gone];
      for (const [head, amount] of steps) add(tail, head, factor * amount);
      leave[tail] += factor * leave[gone];
      hits[tail] += factor * hits[gone];
    }
  }
  const answer = new Float64Array(size);
  for (let state = size - 1; state >= 0; state--) {
    if (moves[state] === 0) continue;
    let sum = hits[state];
    for (const [head, amount] of out[state]) if (head > state) sum += amount * answer[head];
    answer[state] = Math.min(1, sum / moves[state]);
  }
  return answer;
}

/**
 * By induction no sweep rises above the least solution: each value is set to what the equations give for values that are
 * not above it. Each sweep can only raise them, so they converge, to the least solution itself. A small change does not
 * prove that the end is near: a loop that hardly loses anything rises slowly.
 */
function iterate({ size, from, to, chance, hit }: Loop): Float64Array {
  const bySource = from.map((_, step) => step).sort((a, b) => from[b] - from[a]);
  const answer = new Float64Array(size);
  for (let work = 0; work < MOST_WORK; work += from.length + size) {
    let change = 0;
    let step = 0;
    for (let state = size - 1; state >= 0; state--) {
      let sum = hit[state];
      for (; step < bySource.length && from[bySource[step]] === state; step++)
        sum += chance[bySource[step]] * answer[to[bySource[step]]];
      change = Math.max(change, (sum - answer[state]) / (sum || 1));
      answer[state] = sum;
    }
    if (change < 1e-14) break;
  }
  return answer;
}
