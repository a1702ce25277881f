import type { Random } from '../../../algorithms/index.ts';

/** Mean and standard deviation by which one of the numbers is drawn instead of its standard normal prior. */
interface Shift {
  at: number;
  mean: number;
  spread: number;
}

/**
 * How numbers with standard normal priors are drawn: some of them from where earlier draws say that they lie. Without shifts
 * it is the prior itself. The numbers are drawn independently of each other, also where the posterior ties them together:
 * a proposal need not be right for the weights to be, only near enough for them to be even.
 */
export class Proposal {
  constructor(private readonly shifts: readonly Shift[] = []) {}

  /** Fills an array with one draw of all numbers. O(numbers). */
  draw(into: Float64Array, random: Random): void {
    for (let at = 0; at < into.length; at++) into[at] = random.normal();
    for (const { at, mean, spread } of this.shifts) into[at] = mean + spread * into[at];
  }

  /**
   * ln of its density ÷ the prior's, of the numbers that start at `from`: Σ over the shifts of ½(z² − ((z − mean) ÷ spread)²) − ln spread.
   * Numbers that are drawn from their prior have the same density on both sides and do not come in. O(shifts).
   */
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
/**
 * No number is drawn more narrowly than this, nor more widely than its prior. What was learned from few draws is narrower than
 * the truth more often than not, and a proposal that is narrower than what it stands for has weights without a bound.
 */
const LEAST_SPREAD = 0.25;

/**
 * A proposal that follows weighted draws. Each is `count` numbers long; `numbersOf` hands out where it stands. A mean is
 * believed as far as it stands out of its own error (James and Stein). O(draws × count).
 *
 * Numbers of which the findings say little keep their prior: to shift each of hundreds of numbers by its own noise would make
 * weights uneven for nothing, since the unevenness of independent numbers multiplies. The strength of a mean is its square over
 * its variance, the latter divided by (Σw)² ÷ Σw², and the mean is drawn in by the part 1 ÷ strength. A tenth is added to the
 * standard deviation, to be rather too wide. At least one weight must be above 0.
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
