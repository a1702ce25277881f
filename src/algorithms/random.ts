/** A seeded stream of numbers: the same seed gives the same stream on every machine. */
export interface Random {
  /** Uniform on (0, 1): never 0, never 1. */
  uniform(): number;
  /** Standard normal. */
  normal(): number;
}

/** xoshiro128** (Blackman and Vigna 2018), its state filled from the seed by splitmix32; 32 bits a draw. `seed` is taken modulo 2³². */
export function seededRandom(seed: number): Random {
  let filler = seed >>> 0;
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
    // Marsaglia's polar method makes two at a time.
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

/**
 * The logarithm of a draw from Gamma(shape, scale 1), so that a shape of 0.001 does not underflow: below 1 the draw is
 * Gamma(shape + 1) · U^(1/shape), taken in logarithms. Marsaglia and Tsang (2000). `shape` must be above 0 and finite.
 */
export function logGammaDraw(random: Random, shape: number): number {
  if (!(shape > 0 && shape < Number.POSITIVE_INFINITY)) throw new RangeError(`no gamma has the shape ${shape}`);
  if (shape < 1) return logGammaDraw(random, shape + 1) + Math.log(random.uniform()) / shape;
  const d = shape - 1 / 3;
  const c = 1 / Math.sqrt(9 * d);
  for (;;) {
    const x = random.normal();
    const v = (1 + c * x) ** 3;
    if (v <= 0) continue;
    if (Math.log(random.uniform()) < 0.5 * x * x + d - d * v + d * Math.log(v)) return Math.log(d * v);
  }
}
