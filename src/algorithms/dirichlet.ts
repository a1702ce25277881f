import { betaQuantile, logGamma, logGammaCdf } from './gamma.ts';

/**
 * One part of a Dirichlet: its mean share, bounds, and the chance that it is the largest; all from 0 to 1. Over all parts the
 * means add up to 1, and so do the chances, unless every shape is 0.
 */
export interface DirichletPart {
  mean: number;
  low: number;
  high: number;
  largest: number;
}

const GRID_STEPS = 2048;
/** Below this the gamma distribution function is its first term, and the rest of the integral is done by hand. */
const LOG_SMALL = Math.log(1e-9);

/**
 * Shares that follow Dirichlet(shapes): means, bounds at `tail` and 1 - `tail`, and the chance of each to be the largest.
 * Shapes are 0 or more; `tail` is above 0 and under ½. Parts come back in the order of the shapes.
 *
 * Independent Gamma(aᵢ, 1) variables, divided by their sum, follow the Dirichlet, and the sum tells nothing of the shares
 * (Lukacs 1955). So each share is Beta(a, A - a), A being the sum of the shapes, and its bounds are exact; and the share
 * that is largest belongs to the gamma variable that is. The chance of that is ∫ fᵢ(x) Πⱼ Fⱼ(x) dx over all other j, by
 * the trapezoid rule in log x, with the lower tail in closed form; it is good to about 1e-6 (a test compares it with
 * exact values). Shapes of 0 are allowed and get nothing; a single shape above 0 gets all. O(shapes × 2048).
 *
 * @example
 * import { dirichletParts } from 'oilshed/algorithms';
 * dirichletParts([1, 3, 0], 0.05).map(({ mean }) => mean); // → [0.25, 0.75, 0]
 */
export function dirichletParts(shapes: readonly number[], tail: number): DirichletPart[] {
  const total = shapes.reduce((sum, shape) => sum + shape, 0);
  const largest = chancesOfLargest(shapes);
  return shapes.map((shape, at) => {
    if (shape === 0) return { mean: 0, low: 0, high: 0, largest: 0 };
    const rest = total - shape;
    const bound = (chance: number) => (rest > 0 ? betaQuantile(chance, shape, rest) : 1);
    return { mean: shape / total, low: bound(tail), high: bound(1 - tail), largest: largest[at] };
  });
}

/**
 * The chance of each to be the largest, 0 for shapes of 0. One grid serves all: its ends are those of the largest shape,
 * since each integrand has that one's density or distribution function as a factor, and both are nearly nothing below the
 * lower end. Where that end lies under 1e-9, the grid begins at 1e-9, and the power of x that is left is integrated by hand.
 * In log x the integrands are smooth, which the trapezoid rule needs. Products of many distribution functions underflow, so
 * they are sums of logarithms until the last.
 */
function chancesOfLargest(shapes: readonly number[]): number[] {
  const live = shapes.map((shape, at) => ({ shape, at })).filter(({ shape }) => shape > 0);
  const total = live.reduce((sum, { shape }) => sum + shape, 0);
  const top = Math.max(...live.map(({ shape }) => shape));
  const from = Math.max(LOG_SMALL, lowerEdge(top));
  // Twelve standard deviations above the mean, and 40 more for shapes near 0: e⁻⁴⁰ is 4e-18.
  const to = Math.log(top + 12 * Math.sqrt(top) + 40);
  const step = (to - from) / GRID_STEPS;
  const chances = new Array<number>(shapes.length).fill(0);
  for (let at = 0; at <= GRID_STEPS; at++) {
    const logX = from + at * step;
    const cdfs = live.map(({ shape }) => logGammaCdf(shape, logX));
    const all = cdfs.reduce((sum, cdf) => sum + cdf, 0);
    const width = at === 0 || at === GRID_STEPS ? step / 2 : step;
    live.forEach(({ shape, at: part }, index) => {
      const logDensity = shape * logX - Math.exp(logX) - logGamma(shape);
      chances[part] += width * Math.exp(logDensity + all - cdfs[index]);
    });
  }
  // Under the grid Fⱼ(x) = x^aⱼ / Γ(aⱼ + 1), and each integrand is aᵢ · x^A / Π Γ(aⱼ + 1).
  const below = live.reduce((sum, { shape }) => sum - logGamma(shape + 1), total * from) - Math.log(total);
  if (from === LOG_SMALL) for (const { shape, at } of live) chances[at] += shape * Math.exp(below);
  // One of them is the largest for certain, so what the sum is off 1 is an error of the rule, and is divided out.
  const sum = chances.reduce((so, chance) => so + chance, 0);
  return chances.map((chance) => chance / sum);
}

/**
 * log x under which a Gamma(shape, 1) has less than some 1e-14 of its chance: twelve standard deviations below the mean,
 * where that is above 0; else where xᵃ / Γ(a + 1), which is never under the chance, comes down to 1e-14.
 */
function lowerEdge(shape: number): number {
  const edge = shape - 12 * Math.sqrt(shape);
  return edge > 0 ? Math.log(edge) : (Math.log(1e-14) + logGamma(shape + 1)) / shape;
}
