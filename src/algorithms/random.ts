/**
 * A seeded stream of numbers: the same seed gives the same stream on every machine. Both kinds of draw take from one
 * stream, so their order counts. For simulation only: whoever sees a few draws can work out all others, so nothing secret
 * may come from it.
 */
export interface Random {
  /** Uniform on (0, 1): never 0, never 1. One of 2³² values, so chances under some 1e-9 are not told apart. */
  uniform(): number;
  /** Standard normal. */
  normal(): number;
}

/**
 * xoshiro128** (Blackman and Vigna 2018), its state filled from the seed by splitmix32; 32 bits a draw. `seed` is taken
 * modulo 2³², and its fraction is dropped. The stream repeats after 2¹²⁸ − 1 draws. O(1) a draw.
 *
 * @example
 * import { seededRandom } from 'oilshed/algorithms';
 * seededRandom(7).uniform() === seededRandom(7).uniform(); // → true
 */
export function seededRandom(seed: number): Random {
  let filler = seed >>> 0;
  // Each step can be undone, so different fillers give different words: one of the four may be 0, but not all, the one
  // state that xoshiro must not start from.
  const fill = () => {
    filler = (filler + 0x9e3779b9) >>> 0;
    let mixed = filler;
    mixed = Math.imul(mixed ^ (mixed >>> 16), 0x21f0aaad);
    mixed = Math.imul(mixed ^ (mixed >>> 15), 0x735a2d97);
    return (mixed ^ (mixed >>> 15)) >>> 0;
  };
  let [a, b, c, d] = [fill(), fill(), fill(), fill()];
  const rotate = (value: number, by: number) => (value << by) | (value >>> (32 - by));
  const next = () => {
    const result = Math.imul(rotate(Math.imul(b, 5), 7), 9) >>> 0;
    const shifted = b << 9;
    c ^= a;
    d ^= b;
    b ^= c;
    a ^= d;
    c ^= shifted;
    d = rotate(d, 11);
    return result;
  };
  const uniform = () => (next() + 0.5) / 4294967296;
  let spare: number | undefined;
  const normal = () => {
    if (spare !== undefined) {
      const kept = spare;
      spare = undefined;
      return kept;
    }
    // Marsaglia's polar method makes two at a time: of a point in the unit disc the direction is uniform, and so,
    // independent of it, is the square of the distance. Points outside are drawn again, 21 in 100.
    for (;;) {
      const [x, y] = [2 * uniform() - 1, 2 * uniform() - 1];
      const square = x * x + y * y;
      if (square >= 1 || square === 0) continue;
      const factor = Math.sqrt((-2 * Math.log(square)) / square);
      spare = y * factor;
      return x * factor;
    }
  };
  return { uniform, normal };
}

/** Under this shape the proposal for small shapes is taken more often than it costs. */
const SMALL_SHAPE = 0.3;
/** exp(−x) from here on is less than a uniform draw can tell from 0. */
const SURE = 40;

/**
 * The logarithm of a draw from Gamma(shape, scale 1), so that a shape of 0.001 does not underflow. Marsaglia and Tsang
 * (2000); below 1 the draw is Gamma(shape + 1) · U^(1/shape), taken in logarithms; small shapes by Liu, Martin and Syring
 * (Simulating from a gamma distribution with small shape parameter, 2017). `shape` must be above 0 and finite, else it
 * throws a RangeError. Draws are taken again until one fits, so how many numbers it takes from `random` varies; on
 * average a few. O(1).
 *
 * @example
 * import { logGammaDraw, seededRandom } from 'oilshed/algorithms';
 * const random = seededRandom(1);
 * Number.isFinite(logGammaDraw(random, 0.0001)); // → true
 */
export function logGammaDraw(random: Random, shape: number): number {
  if (!(shape > 0 && shape < Number.POSITIVE_INFINITY)) throw new RangeError(`no gamma has the shape ${shape}`);
  if (shape < SMALL_SHAPE) return logSmallGammaDraw(random, shape);
  if (shape < 1) return logLargeGammaDraw(random, shape + 1) + Math.log(random.uniform()) / shape;
  return logLargeGammaDraw(random, shape);
}

/**
 * Shapes of 1 and more: d·(1 + c·x)³ of a normal x is nearly a gamma, and is taken with the chance that makes it one. At
 * every such shape more than 19 in 20 are taken (Marsaglia and Tsang 2000).
 */
function logLargeGammaDraw(random: Random, shape: number): number {
  const d = shape - 1 / 3;
  const c = 1 / Math.sqrt(9 * d);
  for (;;) {
    const x = random.normal();
    const root = 1 + c * x;
    if (root <= 0) continue;
    const v = root * root * root;
    const uniform = random.uniform();
    const square = x * x;
    // Their squeeze: under it no logarithm is needed to know that the draw is taken.
    if (uniform < 1 - 0.0331 * square * square) return Math.log(d * v);
    if (Math.log(uniform) < 0.5 * square + d - d * v + d * Math.log(v)) return Math.log(d * v);
  }
}

/**
 * Shapes near 0: z = −shape · ln x has nearly an exponential density on its right side, and a steep one on its left.
 *
 * The proposal is exponential on both sides, and nowhere under the density e⁻ᶻ⁻ˣ: on the right that is e⁻ᶻ at most; on
 * the left the ratio of the two is exp(t − eᵗ + 1) with t = ln x, at most 1 since eᵗ ≥ 1 + t. So to take a draw with the
 * chance of the ratio gives the density exactly. Γ(shape + 1) ÷ (1 + left) of the draws are taken: all near 0, and three
 * in four at 0.3.
 */
function logSmallGammaDraw(random: Random, shape: number): number {
  const steepness = 1 / shape - 1;
  const left = shape / (Math.E * (1 - shape));
  const right = 1 / (1 + left);
  for (;;) {
    const uniform = random.uniform();
    const isRight = uniform <= right;
    const z = isRight ? -Math.log(uniform / right) : Math.log(random.uniform()) / steepness;
    const logX = -z / shape;
    // Density ÷ proposal: exp(−x) on the right, less the difference of the two slopes on the left.
    if (isRight && logX < -SURE) return logX;
    const log = isRight ? -Math.exp(logX) : -z - Math.exp(logX) - Math.log(left * steepness) - steepness * z;
    if (Math.log(random.uniform()) < log) return logX;
  }
}
