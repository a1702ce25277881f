import { describe, expect, test } from 'vitest';
import {
  effectiveCountFor,
  effectiveCountOf,
  resample,
  seededRandom,
  tailShapeOf,
} from '../../src/algorithms/index.ts';

const logs = (weights: readonly number[]) => Float64Array.from(weights, Math.log);

describe('effectiveCountOf', () => {
  test('is (Σw)² ÷ Σw², whatever the scale; no weight counts as nothing', () => {
    expect(effectiveCountOf(logs([1, 1, 1, 1]))).toBeCloseTo(4, 12);
    expect(effectiveCountOf(logs([3, 1]))).toBeCloseTo(16 / 10, 12);
    expect(effectiveCountOf(logs([3, 1]).map((log) => log - 5000))).toBeCloseTo(16 / 10, 9);
    expect(effectiveCountOf(logs([0, 2, 0, 2]))).toBeCloseTo(2, 12);
    expect(effectiveCountOf(logs([0, 0]))).toBe(0);
  });
});

describe('tailShapeOf', () => {
  const pareto = (shape: number, seed: number) => {
    const random = seededRandom(seed);
    return Float64Array.from({ length: 20_000 }, () => -shape * Math.log(random.uniform()));
  };

  test.each([0.2, 0.5, 0.9, 1.5])('weights U^−%d have a tail of that shape', (shape) => {
    const found = [1, 2, 3, 4, 5, 6, 7, 8].map((seed) => tailShapeOf(pareto(shape, seed)));
    // The error of one fit to 425 draws is about (1 + k) ÷ √425.
    expect(Math.abs(found.reduce((sum, each) => sum + each, 0) / 8 - shape)).toBeLessThan(
      (4 * (1 + shape)) / Math.sqrt(8 * 425),
    );
  });

  test('bounded weights have a short tail, equal ones none; without any weight, or too few, nothing can be believed', () => {
    const random = seededRandom(3);
    expect(tailShapeOf(Float64Array.from({ length: 5000 }, () => Math.log(random.uniform())))).toBeLessThan(0);
    expect(tailShapeOf(new Float64Array(5000).fill(-7))).toBe(Number.NEGATIVE_INFINITY);
    expect(tailShapeOf(new Float64Array(5000).fill(Number.NEGATIVE_INFINITY))).toBe(Number.POSITIVE_INFINITY);
    expect(tailShapeOf(logs([1, 2, 3]))).toBe(Number.POSITIVE_INFINITY);
  });
});

describe('resample', () => {
  const times = (chosen: Int32Array, draw: number) => chosen.filter((each) => each === draw).length;

  test('a draw comes as often as its weight says, rounded down or up, in order', () => {
    const weights = [0.5, 0, 2.25, 7.25];
    for (let seed = 1; seed <= 20; seed++) {
      const { chosen } = resample(logs(weights), 10, seededRandom(seed));
      weights.forEach((weight, draw) => {
        expect(times(chosen, draw)).toBeGreaterThanOrEqual(Math.floor(weight));
        expect(times(chosen, draw)).toBeLessThanOrEqual(Math.ceil(weight));
      });
      expect([...chosen]).toEqual([...chosen].sort((a, b) => a - b));
    }
  });

  test('on average exactly as often as its weight says', () => {
    let sum = 0;
    for (let seed = 0; seed < 4000; seed++) sum += times(resample(logs([0.3, 0.7]), 1, seededRandom(seed)).chosen, 0);
    expect(Math.abs(sum / 4000 - 0.3)).toBeLessThan(4.5 * Math.sqrt((0.3 * 0.7) / 4000));
  });

  const worth = (logWeights: Float64Array, count: number) => {
    const { chosen, burden } = resample(logWeights, count, seededRandom(1));
    // A value of its own for each draw that has nothing to do with its weight.
    return effectiveCountFor(
      Float64Array.from(chosen, (draw) => Math.sin(draw * draw)),
      burden,
    );
  };

  test('repeated draws count once: the effective count is that of the weights, less what choosing adds', () => {
    expect(worth(new Float64Array(100), 100)).toBeCloseTo(100, 9);
    expect(worth(new Float64Array(100), 1000)).toBeCloseTo(100, 9);
    expect(worth(new Float64Array(1000), 10)).toBeCloseTo(10, 9);
    const random = seededRandom(2);
    const uneven = Float64Array.from({ length: 5000 }, () => 1.2 * random.normal());
    const weighted = effectiveCountOf(uneven);
    expect(worth(uneven, 2000)).toBeLessThan(weighted);
    expect(1 / worth(uneven, 2000)).toBeLessThan(1.1 / weighted + 1 / 2000);
  });

  test('what never changes is fully known', () => {
    const { burden } = resample(logs([5, 1, 1]), 7, seededRandom(1));
    expect(effectiveCountFor(new Float64Array(7).fill(0.3), burden)).toBe(7);
  });

  test('the effective count is honest: means are off by as much as it says, also where heavy draws have high values', () => {
    // Weights e^x over x from N(0, 1) make N(1, 1).
    const errors = Array.from({ length: 400 }, (_, seed) => {
      const random = seededRandom(seed);
      const values = Float64Array.from({ length: 2000 }, () => random.normal());
      const { chosen, burden } = resample(values, 1000, random);
      const drawn = Float64Array.from(chosen, (draw) => values[draw]);
      const mean = drawn.reduce((sum, value) => sum + value, 0) / 1000;
      return (mean - 1) * Math.sqrt(effectiveCountFor(drawn, burden));
    });
    const spread = Math.sqrt(errors.reduce((sum, error) => sum + error * error, 0) / 400);
    expect(spread).toBeGreaterThan(0.85);
    expect(spread).toBeLessThan(1.15);
  });
});
