import { describe, expect, test } from 'vitest';
import { mixingOf, seededRandom } from '../../src/algorithms/index.ts';

const LENGTH = 4000;

/** Four chains of an autoregression xₜ = φ·xₜ₋₁ + √(1 − φ²)·zₜ, started where it has settled, each lifted to a level. */
function chains(given: { phi: number; levels?: number[]; seed: number }): Float64Array[] {
  const { phi, levels = [0, 0, 0, 0], seed } = given;
  return levels.map((level, chain) => {
    const random = seededRandom(seed * 4 + chain);
    let at = random.normal();
    return Float64Array.from({ length: LENGTH }, () => {
      at = phi * at + Math.sqrt(1 - phi * phi) * random.normal();
      return level + at;
    });
  });
}

describe('how well chains have mixed', () => {
  test('independent draws count in full and agree', () => {
    const { effectiveCount, rHat } = mixingOf(chains({ phi: 0, seed: 1 }));
    expect(effectiveCount).toBeGreaterThan(0.93 * 4 * LENGTH);
    expect(effectiveCount).toBeLessThanOrEqual(4 * LENGTH);
    expect(Math.abs(rHat - 1)).toBeLessThan(0.002);
  });

  // The autocorrelation at lag k is φᵏ, so the variance of a mean is (1 + φ)/(1 − φ) times that of independent draws.
  test.each([0.3, 0.6, 0.9])('an autoregression of %d is worth n(1 − φ)/(1 + φ) draws', (phi) => {
    const expected = (4 * LENGTH * (1 - phi)) / (1 + phi);
    const { effectiveCount, rHat } = mixingOf(chains({ phi, seed: 2 }));
    expect(Math.abs(effectiveCount / expected - 1)).toBeLessThan(0.15);
    expect(rHat).toBeLessThan(1.02);
  });

  test('chains at different levels disagree, and are worth a handful of draws', () => {
    const { effectiveCount, rHat } = mixingOf(chains({ phi: 0, levels: [0, 0, 0, 6], seed: 3 }));
    expect(rHat).toBeGreaterThan(1.5);
    expect(effectiveCount).toBeLessThan(20);
  });

  test('a chain that drifts disagrees with itself: halves are compared', () => {
    const drifting = chains({ phi: 0, seed: 4 }).map((chain) => chain.map((value, at) => value + (6 * at) / LENGTH));
    expect(mixingOf(drifting).rHat).toBeGreaterThan(1.5);
  });

  test('a number that never changes is fully known', () => {
    const still = [0, 1, 2, 3].map(() => new Float64Array(100).fill(0.5));
    expect(mixingOf(still)).toEqual({ effectiveCount: 400, rHat: 1 });
  });
});
