import type { Random } from './random.ts';

const largestOf = (values: Float64Array) =>
  values.reduce((most, value) => Math.max(most, value), Number.NEGATIVE_INFINITY);

/**
 * As good as how many draws of equal weight weighted ones are: (Σw)² ÷ Σw² (Kish, Survey Sampling, 1965). Weights are
 * given as logarithms, up to a common summand; −∞ is a weight of 0. Comes back from 1, where one weight is all, to n,
 * where all are equal; 0 where there is no weight at all. O(n).
 *
 * It speaks of the draws that there are. Where the proposal never went, no weight tells of it, and the count may be high
 * while the answer is wrong.
 *
 * @example
 * import { effectiveCountOf } from 'oilshed/algorithms';
 * effectiveCountOf(Float64Array.of(0, 0, Math.log(2))); // → 16 / 6
 */
export function effectiveCountOf(logWeights: Float64Array): number {
  const top = largestOf(logWeights);
  if (top === Number.NEGATIVE_INFINITY) return 0;
  // Measured from the largest, that one weighs 1: nothing overflows, and what underflows is too light to count.
  let [sum, squares] = [0, 0];
  for (let at = 0; at < logWeights.length; at++) {
    const weight = Math.exp(logWeights[at] - top);
    sum += weight;
    squares += weight * weight;
  }
  return (sum * sum) / squares;
}

/** Under so many draws in the tail nothing is fitted to it. */
const LEAST_TAIL = 5;

/**
 * k̂, the shape of the tail of the weights: under 0.7 averages over the draws can be believed, above it they cannot. A
 * generalized Pareto is fitted to the largest 3√n weights, at most a fifth of them (Vehtari, Simpson, Gelman, Yao and
 * Gabry, Pareto smoothed importance sampling, 2024; the fit by Zhang and Stephens 2009). Weights are given as logarithms.
 * Infinite where there are too few; −∞ where the tail is all of one weight. O(n log n).
 *
 * Weights whose tail has the shape k have moments of an order under 1/k: no variance from ½ on, no mean from 1 on. So the
 * mean of weighted draws settles ever more slowly, and past 0.7 no count of draws that anybody waits for is enough. Like
 * all that is read off the draws, k̂ knows nothing of places where none fell.
 */
export function tailShapeOf(logWeights: Float64Array): number {
  const count = logWeights.length;
  const size = Math.ceil(Math.min(count / 5, 3 * Math.sqrt(count)));
  const sorted = logWeights.slice().sort();
  const top = sorted[count - 1];
  if (size < LEAST_TAIL || !(top > Number.NEGATIVE_INFINITY)) return Number.POSITIVE_INFINITY;
  const threshold = Math.exp(sorted[count - size - 1] - top);
  return paretoShape(sorted.subarray(count - size).map((log) => Math.exp(log - top) - threshold));
}

/** Exceedances under this part of the largest weight, 1, are the rounding of equal weights. */
const LEAST_EXCEEDANCE = 1e-9;
/**
 * Weight of the prior of the shape, in draws, and its mean: it keeps a fit to few draws from wandering (Vehtari et al.
 * 2024).
 */
const [PRIOR_DRAWS, PRIOR_SHAPE] = [10, 0.5];

/**
 * Shape of the generalized Pareto that exceedances, sorted upwards, follow. Equal ones have no tail: −∞. O(n √n).
 *
 * With θ = −shape ÷ scale the best shape for a θ is the mean of ln(1 − θx), so that one number is left to find. Its
 * likelihood grows without bound as θ nears 1 ÷ largest, so there is no best θ; as Zhang and Stephens do, θ is the mean
 * over a grid of points, each weighed by its likelihood. They lie under 1 ÷ largest, where every logarithm exists; the
 * quartile says how far apart.
 */
function paretoShape(exceedances: Float64Array): number {
  const count = exceedances.length;
  const largest = exceedances[count - 1];
  if (largest < LEAST_EXCEEDANCE) return Number.NEGATIVE_INFINITY;
  // Much of the tail may be as heavy as the threshold and no heavier: a quartile of 0 would put the points of the grid at −∞.
  const quartile = Math.max(exceedances[Math.floor(count / 4 + 0.5) - 1], LEAST_EXCEEDANCE * largest);
  const shapeAt = (theta: number) => {
    let sum = 0;
    for (let at = 0; at < count; at++) sum += Math.log1p(-theta * exceedances[at]);
    return sum / count;
  };
  const points = 30 + Math.floor(Math.sqrt(count));
  const thetas = Float64Array.from(
    { length: points },
    (_, at) => 1 / largest + (1 - Math.sqrt(points / (at + 0.5))) / (3 * quartile),
  );
  const fits = thetas.map((theta) => {
    const shape = shapeAt(theta);
    // θ and the shape differ in sign, whichever way the tail bends. This is the log-likelihood, without what is the same
    // for all.
    return count * (Math.log(-theta / shape) - shape - 1);
  });
  const best = fits.reduce((most, fit) => Math.max(most, fit), Number.NEGATIVE_INFINITY);
  let [sum, weighted] = [0, 0];
  for (let at = 0; at < points; at++) {
    const weight = Math.exp(fits[at] - best);
    sum += weight;
    weighted += weight * thetas[at];
  }
  return (shapeAt(weighted / sum) * count + PRIOR_SHAPE * PRIOR_DRAWS) / (count + PRIOR_DRAWS);
}

/** Draws of equal weight out of weighted ones. */
export interface Resampled {
  /** Which of the weighted draws each is, in order, so that the same ones stand together. */
  chosen: Int32Array;
  /** For each, by how much more its square adds to the variance of a mean than if all draws were independent; 1 or more. */
  burden: Float64Array;
}

/**
 * Turns weighted draws into `count` of equal weight by systematic resampling (Kitagawa 1996). A draw of weight w comes
 * ⌊count·w⌋ times or once more, and only that once adds variance. `logWeights` may hold −∞, but not only. O(n + count).
 *
 * The weights, scaled to sum to `count`, lie end to end on a line; points stand on it one apart, the first at a uniform
 * draw, the only one that is taken from `random`. So each draw comes count·w times on average, and draws of no weight
 * never do.
 */
export function resample(logWeights: Float64Array, count: number, random: Random): Resampled {
  const top = largestOf(logWeights);
  const weights = logWeights.map((log) => Math.exp(log - top));
  const step = weights.reduce((sum, weight) => sum + weight, 0) / count;
  const chosen = new Int32Array(count);
  let next = random.uniform() * step;
  let [at, before] = [0, 0];
  weights.forEach((weight, draw) => {
    before += weight;
    for (; next < before && at < count; next += step) chosen[at++] = draw;
  });
  // Rounding can leave out the very last one.
  chosen.fill(
    weights.findLastIndex((weight) => weight > 0),
    at,
  );
  // Over all its copies a draw of `times` = count·w adds times² to the variance, as a weighted draw does, and once·(1 −
  // once), the variance of whether its last copy comes. Divided by `times`, since that many copies share it.
  const burden = Float64Array.from(chosen, (draw) => {
    const times = weights[draw] / step;
    const once = times - Math.floor(times);
    return times + (once * (1 - once)) / times;
  });
  return { chosen, burden };
}

/**
 * As good as how many independent draws resampled ones are for the mean of some values. It takes into account that heavy
 * draws may have values of their own. A number that never changes counts as fully known. O(n).
 *
 * `values` and `burden` go draw by draw, in the order of `Resampled.chosen`. The variance that independent draws would
 * give is divided by the one that the burdens give, Σ burden·(value − mean)². Comes back at most n, since no burden is
 * under 1.
 */
export function effectiveCountFor(values: Float64Array, burden: Float64Array): number {
  const count = values.length;
  const mean = values.reduce((sum, value) => sum + value, 0) / count;
  let [plain, burdened] = [0, 0];
  for (let at = 0; at < count; at++) {
    const square = (values[at] - mean) ** 2;
    plain += square;
    burdened += burden[at] * square;
  }
  return plain > 0 ? (count * plain) / burdened : count;
}
