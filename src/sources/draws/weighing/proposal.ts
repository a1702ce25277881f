import type { Random } from '../../../algorithms/index.ts';

/** Mean and standard deviation by which one of the numbers is drawn instead of its standard normal prior. */
interface Shift {
  at: number;
  mean: number;
  spread: number;
}

/** How numbers with standard normal priors are drawn: some of them from where earlier draws say that they lie. */
export class Proposal {
  constructor(private readonly shifts: readonly Shift[] = []) {}

  draw(into: Float64Array, random: Random): void {
    for (let at = 0; at < into.length; at++) into[at] = random.normal();
    for (const { at, mean, spread } of this.shifts) into[at] = mean + spread * into[at];
  }

  /** ln of its density ÷ the prior's, of the numbers that start at `from`. */
  logRatio(numbers: Float64Array, from: number): number {
    let sum = 0;
    for (const { at, mean, spread } of this.shifts) {
      const value = numbers[from + at];
      const off = (value - mean) / spread;
      sum += 0.5 * (value * value - off * off) - Math.log(spread);
    }
    return sum;
  }
}

/** Numbers whose mean is told apart from 0 by so many standard errors are drawn from elsewhere. */
const TELLING = 2.5;
/** No number is drawn more narrowly than this, nor more widely than its prior. */
const LEAST_SPREAD = 0.25;

/**
 * A proposal that follows weighted draws. Each is `count` numbers long; `numbersOf` hands out where it stands. A mean is
 * believed as far as it stands out of its own error (James and Stein). O(draws × count).
 */
export function followDraws(
  weights: Float64Array,
  count: number,
  numbersOf: (draw: number) => { numbers: Float64Array; from: number },
): Proposal {
  const [means, squares] = [new Float64Array(count), new Float64Array(count)];
  let [sum, sumOfSquares] = [0, 0];
  weights.forEach((weight, draw) => {
    if (weight === 0) return;
    const { numbers, from } = numbersOf(draw);
    sum += weight;
    sumOfSquares += weight * weight;
    for (let at = 0; at < count; at++) {
      const value = numbers[from + at];
      means[at] += weight * value;
      squares[at] += weight * value * value;
    }
  });
  const effective = (sum * sum) / sumOfSquares;
  const shifts: Shift[] = [];
  for (let at = 0; at < count; at++) {
    const mean = means[at] / sum;
    const variance = squares[at] / sum - mean * mean;
    const strength = (mean * mean * effective) / Math.max(variance, LEAST_SPREAD ** 2);
    if (strength < TELLING ** 2) continue;
    const spread = Math.min(1, Math.max(LEAST_SPREAD, 1.1 * Math.sqrt(variance)));
    shifts.push({ at, mean: mean * (1 - 1 / strength), spread });
  }
  return new Proposal(shifts);
}
