import { describe, expect, test } from 'vitest';
import { betaQuantile, dirichletParts, logGammaDraw, seededRandom } from '../../src/algorithms/index.ts';

/** Means over many draws of normalised gammas: which is largest, and how often a share is under a bound. */
function simulate(shapes: number[], count: number, seed: number) {
  const random = seededRandom(seed);
  const draws: number[][] = [];
  for (let draw = 0; draw < count; draw++) {
    const logs = shapes.map((shape) => logGammaDraw(random, shape));
    const top = Math.max(...logs);
    const parts = logs.map((log) => Math.exp(log - top));
    const sum = parts.reduce((so, part) => so + part, 0);
    draws.push(parts.map((part) => part / sum));
  }
  return draws;
}

describe('Dirichlet parts', () => {
  test('two parts: the chance of being largest is that of Beta above one half', () => {
    // Beta(2, 1) lies above 1/2 with chance 1 - (1/2)² = 3/4.
    const [first, second] = dirichletParts([2, 1], 0.05);
    expect(first.largest).toBeCloseTo(0.75, 6);
    expect(second.largest).toBeCloseTo(0.25, 6);
    expect(first.mean).toBeCloseTo(2 / 3, 12);
    // The 5 % point of Beta(2, 1) is √0.05, its 95 % point √0.95.
    expect(first.low).toBeCloseTo(Math.sqrt(0.05), 6);
    expect(first.high).toBeCloseTo(Math.sqrt(0.95), 6);
  });

  test('equal parts are largest equally often, whatever their shape', () => {
    for (const shape of [1e-4, 0.01, 0.5, 1, 30, 5000]) {
      for (const part of dirichletParts([shape, shape, shape, shape], 0.05)) {
        expect(part.largest).toBeCloseTo(0.25, 9);
        expect(part.mean).toBeCloseTo(0.25, 12);
      }
    }
  });

  test('tiny shapes: one release, and its source is each with the chance of its mean', () => {
    const shapes = [3e-4, 2e-4, 1e-4];
    for (const { largest, mean } of dirichletParts(shapes, 0.05)) expect(largest).toBeCloseTo(mean, 3);
  });

  test('chances of being largest add up to 1 and agree with draws, for shapes from 0.01 to 40', () => {
    for (const shapes of [
      [0.01, 0.5, 2],
      [5, 4, 3, 0.2],
      [40, 38, 36],
      [0.05, 0.05, 0.4, 0.4],
    ]) {
      const parts = dirichletParts(shapes, 0.05);
      expect(parts.reduce((sum, { largest }) => sum + largest, 0)).toBeCloseTo(1, 9);
      const draws = simulate(shapes, 40_000, 5);
      parts.forEach(({ largest, low, high }, at) => {
        const often = draws.filter((draw) => draw[at] === Math.max(...draw)).length / draws.length;
        expect(Math.abs(often - largest)).toBeLessThan(0.012);
        const under = draws.filter((draw) => draw[at] <= low).length / draws.length;
        const above = draws.filter((draw) => draw[at] >= high).length / draws.length;
        if (low > 1e-12) expect(Math.abs(under - 0.05)).toBeLessThan(0.006);
        if (high < 1 - 1e-9) expect(Math.abs(above - 0.05)).toBeLessThan(0.006);
      });
    }
  });

  test('a shape of 0 gets nothing, and a part alone gets all', () => {
    expect(dirichletParts([0, 2], 0.05)).toEqual([
      { mean: 0, low: 0, high: 0, largest: 0 },
      { mean: 1, low: 1, high: 1, largest: 1 },
    ]);
  });
});

describe('beta bounds', () => {
  test('from tiny to large parameters a bound is a number from 0 to 1, rises with the chance and mirrors its twin', () => {
    const sizes = [1e-6, 6.8e-5, 1e-3, 0.0192, 0.3, 1, 7, 400, 5000];
    for (const alpha of sizes) {
      for (const beta of sizes) {
        const [low, middle, high] = [0.05, 0.5, 0.95].map((chance) => betaQuantile(chance, alpha, beta));
        expect(low >= 0 && low <= middle && middle <= high && high <= 1, `${alpha}, ${beta}`).toBe(true);
        expect(betaQuantile(0.95, beta, alpha)).toBeCloseTo(1 - low, 6);
      }
    }
  });

  test('known quantiles: Beta(2, 1) at p is √p, Beta(1, 3) is 1 − (1 − p)^(1/3), the arcsine law is sin²(πp/2)', () => {
    for (const chance of [0.05, 0.3, 0.95]) {
      expect(betaQuantile(chance, 2, 1)).toBeCloseTo(Math.sqrt(chance), 9);
      expect(betaQuantile(chance, 1, 3)).toBeCloseTo(1 - (1 - chance) ** (1 / 3), 9);
      expect(betaQuantile(chance, 0.5, 0.5)).toBeCloseTo(Math.sin((Math.PI * chance) / 2) ** 2, 9);
    }
  });
});

describe('seeded random', () => {
  test('the same seed gives the same stream, another seed another', () => {
    const stream = (seed: number) => {
      const random = seededRandom(seed);
      return Array.from({ length: 5 }, () => random.uniform());
    };
    expect(stream(3)).toEqual(stream(3));
    expect(stream(3)).not.toEqual(stream(4));
  });

  test('a shape that is none is our own fault and is refused, never waited for', () => {
    const random = seededRandom(1);
    for (const shape of [0, -1, Number.NaN, Number.POSITIVE_INFINITY])
      expect(() => logGammaDraw(random, shape)).toThrow(RangeError);
  });

  test('log gamma draws have the mean and variance of their shape, from 0.3 to 50', () => {
    const random = seededRandom(9);
    for (const shape of [0.3, 1, 4, 50]) {
      const draws = Array.from({ length: 40_000 }, () => Math.exp(logGammaDraw(random, shape)));
      const mean = draws.reduce((sum, draw) => sum + draw, 0) / draws.length;
      const variance = draws.reduce((sum, draw) => sum + (draw - mean) ** 2, 0) / draws.length;
      // Five standard errors: of the mean √(shape/n), of the variance √((2 shape² + 6 shape)/n).
      expect(Math.abs(mean - shape)).toBeLessThan(5 * Math.sqrt(shape / 40_000));
      expect(Math.abs(variance - shape)).toBeLessThan(5 * Math.sqrt((2 * shape ** 2 + 6 * shape) / 40_000));
    }
  });

  test('a shape of 0.001 does not underflow: its logarithm is finite and its distribution right', () => {
    const random = seededRandom(10);
    const logs = Array.from({ length: 20_000 }, () => logGammaDraw(random, 0.001));
    expect(logs.every(Number.isFinite)).toBe(true);
    // F(x) = x^0.001 / Γ(1.001) far below 1; half the draws lie under log x = ln(Γ(1.001)/2)/0.001.
    const median = Math.log(0.5 * 0.99942377) / 0.001;
    const under = logs.filter((log) => log < median).length / logs.length;
    expect(Math.abs(under - 0.5)).toBeLessThan(0.02);
  });
});
