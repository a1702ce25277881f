import { describe, expect, test } from 'vitest';
import { seededRandom } from '../../src/algorithms/index.ts';
import { bestHunt, entropyBits, type Hunt, halving, members, play, walkingUp } from './hunt.ts';
import { brier, estimate, isCovered, largestFirst, rankOf, uniformChance } from './scores.ts';

/** A line of n equal suspects, each below the one before; the lid at place k sees the first k of them. */
function line(n: number): Hunt {
  return {
    chance: new Array<number>(n).fill(1 / n),
    zones: new Array<number>(n).fill(1),
    lids: Array.from({ length: n }, (_, at) => ({
      at: `MH-${at + 1}`,
      above: 2 ** (at + 1) - 1,
      nextUp: at > 0 ? [at - 1] : [],
    })),
    firstUp: [n - 1],
  };
}

const meanLids = (hunt: Hunt, policy: ReturnType<typeof halving>) =>
  hunt.chance.reduce(
    (sum, chance, suspect) =>
      sum +
      chance *
        play(
          hunt,
          policy,
          hunt.lids.map(({ above }) => ((above >> suspect) & 1) === 1),
        ).lids,
    0,
  );

describe('the hunt', () => {
  // The least mean depth of a binary tree with n leaves, as exact fractions.
  test.each([
    [1, 0],
    [2, 1],
    [3, 5 / 3],
    [4, 2],
    [5, 12 / 5],
    [6, 8 / 3],
    [7, 20 / 7],
    [8, 3],
    [9, 29 / 9],
    [10, 17 / 5],
    [12, 11 / 3],
    [15, 59 / 15],
    [16, 4],
  ])('on a line of %i the dynamic programme gives the known mean number of lids', (n, lids) => {
    const depth = Math.ceil(Math.log2(n));
    expect((n * depth - 2 ** depth + n) / n).toBeCloseTo(lids, 12);
    expect(bestHunt(line(n)).lids).toBeCloseTo(lids, 12);
    expect(meanLids(line(n), bestHunt(line(n)).policy)).toBeCloseTo(lids, 12);
    expect(meanLids(line(n), halving(line(n)))).toBeCloseTo(lids, 12);
  });

  test('walking up a line opens one lid after another: the mean is that of 1, 2, … n − 1, n − 1', () => {
    // From the lowest lid up, the lowest being certain: the k-th from below takes k lids, the last two the same.
    expect(meanLids(line(8), walkingUp(line(8)))).toBeCloseTo((1 + 2 + 3 + 4 + 5 + 6 + 7 + 7) / 8, 12);
  });

  test('nothing beats the entropy, and nothing beats the dynamic programme', () => {
    const random = seededRandom(7);
    for (let run = 0; run < 50; run++) {
      const weights = Array.from({ length: 7 }, () => random.uniform() ** 3);
      const total = weights.reduce((sum, weight) => sum + weight, 0);
      const hunt = { ...line(7), chance: weights.map((weight) => weight / total) };
      const { lids } = bestHunt(hunt);
      expect(lids).toBeGreaterThanOrEqual(entropyBits(hunt) - 1e-12);
      expect(lids).toBeLessThanOrEqual(meanLids(hunt, halving(hunt)) + 1e-12);
      expect(lids).toBeLessThanOrEqual(meanLids(hunt, walkingUp(hunt)) + 1e-12);
    }
    expect(entropyBits(line(8))).toBeCloseTo(3, 12);
    expect(members(0b1011)).toEqual([0, 1, 3]);
  });

  test('right answers end at the source, whatever the policy', () => {
    const hunt = line(6);
    for (const policy of [walkingUp(hunt), halving(hunt), bestHunt(hunt).policy]) {
      for (let suspect = 0; suspect < 6; suspect++) {
        const says = hunt.lids.map(({ above }) => ((above >> suspect) & 1) === 1);
        expect(play(hunt, policy, says).suspect).toBe(suspect);
      }
    }
  });
});

describe('scores', () => {
  test('a mean has the standard error s ÷ √n', () => {
    expect(estimate([1, 2, 3, 4])).toEqual({ mean: 2.5, error: Math.sqrt(5 / 3 / 4), count: 4 });
  });

  test('Brier: 0 when sure and right, 2 when sure and wrong, the squares between', () => {
    expect(brier([0, 1, 0], 1)).toBe(0);
    expect(brier([0, 1, 0], 0)).toBe(2);
    expect(brier([0.6, 0.3, 0.1], 0)).toBeCloseTo(0.16 + 0.09 + 0.01, 12);
  });

  test('a rank counts the draws below; ties are broken by chance, evenly', () => {
    const random = seededRandom(1);
    expect(rankOf(2.5, [1, 2, 3, 4], random)).toBe(2);
    const ranks = Array.from({ length: 4000 }, () => rankOf(0, [0, 0, 0, 5], random));
    expect(Math.max(...ranks)).toBe(3);
    for (const rank of [0, 1, 2, 3])
      expect(Math.abs(ranks.filter((each) => each === rank).length - 1000)).toBeLessThan(150);
  });

  test('of uniform ranks the central intervals cover their part', () => {
    const ranks = Array.from({ length: 100 }, (_, rank) => rank);
    const covered = (part: number) => ranks.filter((rank) => isCovered({ rank, draws: 99, part })).length;
    expect([covered(0.5), covered(0.9)]).toEqual([50, 90]);
    expect(isCovered({ rank: 0, draws: 99, part: 0.9 })).toBe(false);
    expect(isCovered({ rank: 50, draws: 99, part: 0.5 })).toBe(true);
  });

  test('chi-square: even bins are certain to be beaten, 3.84 on two bins is the 5 % point (tables)', () => {
    expect(uniformChance([10, 10, 10])).toEqual({ chiSquare: 0, chance: 1 });
    const { chiSquare, chance } = uniformChance([5000 + 98, 5000 - 98]);
    expect(chiSquare).toBeCloseTo(3.8416, 4);
    expect(chance).toBeCloseTo(0.05, 3);
  });

  test('the largest come first, equal ones in their order', () => {
    expect(largestFirst([1, 3, 3, 2])).toEqual([1, 2, 3, 0]);
  });
});
