import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { betaQuantile, gammaAbove, gammaCdf, logGamma } from '../../src/algorithms/index.ts';

/** Made once by SciPy, see gamma-beta.py beside it: arguments, then what is to come out. */
const scipy: Record<'logGamma' | 'gamma' | 'betaQuantile', number[][]> = JSON.parse(
  readFileSync('tests/worked-examples/gamma-beta.json', 'utf8'),
);

/** The rows that a function is further off than allowed, relative to the value. */
const wrong = (rows: number[][], found: (row: number[]) => [is: number, shouldBe: number], allowed: number) =>
  rows.filter((row) => {
    const [is, shouldBe] = found(row);
    return !(Math.abs(is - shouldBe) <= allowed * Math.abs(shouldBe));
  });

describe('gamma and beta functions at 2,000 points of SciPy, shapes from 1e-4 to 1e4', () => {
  test('the points are all there', () => {
    expect(scipy.logGamma.length + scipy.gamma.length + scipy.betaQuantile.length).toBe(2000);
  });

  test('ln Γ is within 2e-12', () => {
    expect(wrong(scipy.logGamma, ([x, log]) => [logGamma(x), log], 2e-12)).toEqual([]);
  });

  test('the chances below and above are within 2e-11, tiny ones too', () => {
    expect(wrong(scipy.gamma, ([shape, x, below]) => [gammaCdf(shape, x), below], 1e-11)).toEqual([]);
    expect(wrong(scipy.gamma, ([shape, x, , above]) => [gammaAbove(shape, x), above], 2e-11)).toEqual([]);
  });

  test('beta quantiles are within 1e-10', () => {
    expect(wrong(scipy.betaQuantile, ([chance, a, b, x]) => [betaQuantile(chance, a, b), x], 1e-10)).toEqual([]);
  });
});

describe('where the functions end', () => {
  test('nothing is below 0, and all of it below a number without end', () => {
    for (const shape of [1e-4, 1, 300]) {
      expect([gammaCdf(shape, 0), gammaAbove(shape, 0), gammaCdf(shape, -1), gammaAbove(shape, -1)]).toEqual([
        0, 1, 0, 1,
      ]);
      expect([gammaCdf(shape, 1e300), gammaAbove(shape, 1e300)]).toEqual([1, 0]);
    }
  });

  test('shapes far beyond any yard are still right: half a large gamma lies under shape − 1/3', () => {
    // The median is shape − 1/3 + O(1/shape) (Choi, On the medians of gamma distributions, 1994).
    for (const shape of [1e5, 1e7, 1e9]) expect(gammaCdf(shape, shape - 1 / 3)).toBeCloseTo(0.5, 8);
  });
});
