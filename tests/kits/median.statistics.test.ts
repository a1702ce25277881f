import { existsSync, readFileSync } from 'node:fs';
import fc from 'fast-check';
import loadHighs from 'highs';
import { beforeAll, describe, expect, test } from 'vitest';
import { type IntegerSolver, integerSolver } from '../../src/algorithms/index.ts';
import { fewestWithin, mostWithin } from '../../src/kits/covering.ts';
import { costOf, pMedian } from '../../src/kits/median.ts';
import { readMedianFile } from '../support/pmed.ts';

let solve: IntegerSolver;
beforeAll(async () => {
  solve = integerSolver(await loadHighs());
});

const PMED = '../shared/checks/pmed';
const hasPmed = existsSync(PMED);
if (!hasPmed) console.warn(`skipped: the OR-Library instances are not at ${PMED}`);

/**
 * Optimum of the p-median (J. E. Beasley, European Journal of Operational Research 21, 1985) and radius of the p-centre
 * (W. Pullan, the vertex p-centre problem, for the same instances). How many sites a radius and one less need is our own
 * computation, a set cover solved exactly.
 */
const LIBRARY = [
  { name: 'pmed1', optimum: 5819, radius: 127, needed: 5, neededBelow: 6 },
  { name: 'pmed2', optimum: 4093, radius: 98, needed: 10, neededBelow: 11 },
  { name: 'pmed3', optimum: 4250, radius: 93, needed: 10, neededBelow: 12 },
  { name: 'pmed4', optimum: 3034, radius: 74, needed: 20, neededBelow: 21 },
  { name: 'pmed5', optimum: 1355, radius: 48, needed: 31, neededBelow: 34 },
];

describe.skipIf(!hasPmed)('OR-Library instances, to proved optimality', () => {
  test.each(LIBRARY)('$name: the p-median of 100 nodes costs $optimum', ({ name, optimum }) => {
    const { distance, count } = readMedianFile(readFileSync(`${PMED}/${name}.txt`, 'utf8'));
    const best = pMedian({ distance, weight: distance.map(() => 1), count, fixed: [] }, solve);
    expect(best?.cost).toBe(optimum);
    expect(best?.gap).toBe(0);
    expect(best?.open).toHaveLength(count);
  });

  test.each(LIBRARY)(
    '$name: $needed sites cover everything within $radius, and one less reach needs $neededBelow',
    (row) => {
      const { distance } = readMedianFile(readFileSync(`${PMED}/${row.name}.txt`, 'utf8'));
      const within = (radius: number) => fewestWithin({ distance, fixed: [] }, radius, solve);
      expect(within(row.radius)).toMatchObject({ left: [], gap: 0 });
      expect(within(row.radius)?.open).toHaveLength(row.needed);
      expect(within(row.radius - 1)?.open).toHaveLength(row.neededBelow);
    },
  );
});

/** All sets of `count` of these. */
function* setsOf(items: readonly number[], count: number): Generator<number[]> {
  if (count === 0) yield [];
  else
    for (let at = 0; at + count <= items.length; at++)
      for (const rest of setsOf(items.slice(at + 1), count - 1)) yield [items[at], ...rest];
}

const places = fc.record({
  distance: fc.array(
    fc.array(
      fc.oneof(
        { weight: 9, arbitrary: fc.integer({ min: 0, max: 30 }) },
        { weight: 1, arbitrary: fc.constant(Number.POSITIVE_INFINITY) },
      ),
      {
        minLength: 7,
        maxLength: 7,
      },
    ),
    { minLength: 1, maxLength: 6 },
  ),
  weights: fc.array(fc.integer({ min: 0, max: 5 }), { minLength: 6, maxLength: 6 }),
  count: fc.integer({ min: 1, max: 4 }),
  fixed: fc.uniqueArray(fc.nat(6), { maxLength: 2 }),
  within: fc.nat(30),
});

describe('small cases against every set of spots', () => {
  test('the p-median, with fixed spots, ties and places nobody can get to', () => {
    fc.assert(
      fc.property(places, ({ distance, weights, count, fixed }) => {
        const weight = distance.map((_, at) => weights[at]);
        const reachable = distance.filter((row) => row.some(Number.isFinite));
        if (reachable.length < distance.length) return;
        const free = [0, 1, 2, 3, 4, 5, 6].filter((spot) => !fixed.includes(spot));
        const best = Math.min(
          ...[...setsOf(free, count)].map((open) => costOf({ distance, weight }, [...fixed, ...open])),
        );
        const found = pMedian({ distance, weight, count, fixed }, solve);
        expect(found?.open).toHaveLength(count + fixed.length);
        for (const spot of fixed) expect(found?.open).toContain(spot);
        if (Number.isFinite(best)) expect(found?.cost).toBeCloseTo(best, 6);
        else expect(found?.cost).toBe(best);
      }),
      { seed: 81, numRuns: 120 },
    );
  });

  test('as few as cover all that can be covered; and the most that so many cover', () => {
    fc.assert(
      fc.property(places, ({ distance, weights, count, fixed, within }) => {
        const weight = distance.map((_, at) => weights[at]);
        const free = [0, 1, 2, 3, 4, 5, 6].filter((spot) => !fixed.includes(spot));
        const leftBy = (open: readonly number[]) =>
          distance.flatMap((row, client) => (open.some((spot) => row[spot] <= within) ? [] : [client]));
        const least = leftBy([0, 1, 2, 3, 4, 5, 6]);
        const fewest = [0, 1, 2, 3, 4, 5, 6, 7].find((size) =>
          [...setsOf(free, Math.min(size, free.length))].some(
            (open) => leftBy([...fixed, ...open]).length === least.length,
          ),
        );
        const found = fewestWithin({ distance, fixed }, within, solve);
        expect(found?.left).toEqual(least);
        expect(found?.open).toHaveLength((fewest as number) + fixed.length);
        const weightLeft = (left: readonly number[]) => left.reduce((sum, client) => sum + weight[client], 0);
        const sets = [...setsOf(free, count)].map((open) => [...fixed, ...open]);
        const best = Math.min(...sets.map((open) => weightLeft(leftBy(open))));
        const most = mostWithin({ distance, weight, count, fixed }, within, solve);
        expect(weightLeft(most?.left ?? [])).toBeCloseTo(best, 6);
        // Of the sets that cover as much, one with the least mean walk; no kit is left over.
        expect(most?.open).toHaveLength(count + fixed.length);
        const equals = sets.filter((open) => weightLeft(leftBy(open)) === best);
        const shortest = Math.min(...equals.map((open) => costOf({ distance, weight }, open)));
        if (Number.isFinite(shortest)) expect(costOf({ distance, weight }, most?.open ?? [])).toBeCloseTo(shortest, 6);
      }),
      { seed: 82, numRuns: 120 },
    );
  });
});
