import { describe, expect, test } from 'vitest';
import { gammaCdf, logGamma, logGammaDraw, seededRandom } from '../../src/algorithms/index.ts';

const COUNT = 40_000;

/** The chance that ln of a Gamma(shape, 1) is at most `logX`; below e⁻²⁰ its first term is all of it. */
const chanceBelow = (shape: number, logX: number) =>
  logX < -20 ? Math.exp(shape * logX - logGamma(shape + 1)) : gammaCdf(shape, Math.exp(logX));

describe('logGammaDraw', () => {
  test.each([0.001, 0.05, 0.2, 0.299, 0.301, 0.9, 1, 3, 60])('a shape of %d has the gamma’s chances', (shape) => {
    const random = seededRandom(Math.round(1000 * shape));
    const chances = Float64Array.from({ length: COUNT }, () => chanceBelow(shape, logGammaDraw(random, shape))).sort();
    for (const part of [0.01, 0.1, 0.3, 0.5, 0.7, 0.9, 0.99]) {
      const found = chances[Math.floor(part * COUNT)];
      expect(Math.abs(found - part)).toBeLessThan(4.5 * Math.sqrt((part * (1 - part)) / COUNT));
    }
  });

  test('no gamma has a shape of 0, less or without end', () => {
    for (const shape of [0, -1, Number.NaN, Number.POSITIVE_INFINITY]) {
      expect(() => logGammaDraw(seededRandom(1), shape)).toThrow(RangeError);
    }
  });
});
