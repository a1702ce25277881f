import type { Random } from '../../src/algorithms/index.ts';
import { gammaAbove } from '../../src/algorithms/index.ts';

/** A mean with its standard error and the number of runs it rests on. */
export interface Estimate {
  mean: number;
  error: number;
  count: number;
}

/** Mean and standard error (sample standard deviation ÷ √n); the error is 0 where fewer than two values are given. */
export function estimate(values: readonly number[]): Estimate {
  const count = values.length;
  const mean = values.reduce((sum, value) => sum + value, 0) / count;
  const squares = values.reduce((sum, value) => sum + (value - mean) ** 2, 0);
  return { mean, error: count > 1 ? Math.sqrt(squares / (count - 1) / count) : 0, count };
}

/** Brier score over all sources: Σ (chance − 1 if it was the main one)². 0 is best, 2 is sure of a wrong one. */
export function brier(chances: ArrayLike<number>, main: number): number {
  return Array.from(chances).reduce((sum, chance, source) => sum + (chance - (source === main ? 1 : 0)) ** 2, 0);
}

/** How many of the draws lie under the truth, 0 to their number; draws equal to it are put under or over it by chance. */
export function rankOf(truth: number, draws: ArrayLike<number>, random: Random): number {
  let [under, ties] = [0, 0];
  for (let draw = 0; draw < draws.length; draw++) {
    if (draws[draw] < truth) under++;
    else if (draws[draw] === truth) ties++;
  }
  return under + Math.floor(random.uniform() * (ties + 1));
}

/** Whether a truth of this rank lies in the central interval that holds the given part of the draws. */
export function isCovered({ rank, draws, part }: { rank: number; draws: number; part: number }): boolean {
  const place = (rank + 0.5) / (draws + 1);
  return Math.abs(place - 0.5) < part / 2;
}

/** Chance that counts which are uniform in truth differ by more than these do (chi-square, bins − 1 degrees of freedom). */
export function uniformChance(counts: readonly number[]): { chiSquare: number; chance: number } {
  const expected = counts.reduce((sum, count) => sum + count, 0) / counts.length;
  const chiSquare = counts.reduce((sum, count) => sum + (count - expected) ** 2 / expected, 0);
  const chance = gammaAbove((counts.length - 1) / 2, chiSquare / 2);
  return { chiSquare, chance };
}

/** The places of the draws ordered by value, largest first; equal ones by place. */
export function largestFirst(values: ArrayLike<number>): number[] {
  return Array.from(values, (_, at) => at).sort((a, b) => values[b] - values[a] || a - b);
}
