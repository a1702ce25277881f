import fc from 'fast-check';
import loadHighs from 'highs';
import { beforeAll, describe, expect, test } from 'vitest';
import { type IntegerSolver, integerSolver } from '../../src/algorithms/index.ts';
import { bestFor, frontierOf, litresWith } from '../../src/measures/best.ts';
import { findMeasures, type MeasuresAnswer, programmeOf } from '../../src/measures/index.ts';
import { english } from '../support/english.ts';
import { type YardWords, yard } from '../support/yard.ts';

let solve: IntegerSolver;
beforeAll(async () => {
  solve = integerSolver(await loadHighs());
});

/** Only the measures named, each with its cut and cost; everything else is left out. */
const only = (wanted: Record<string, object>) => ({
  measures: Object.fromEntries(
    ['sweeping', 'drip-pans', 'hose-checks', 'roof', 'low-wall', 'insert', 'shut-off-valve'].map((measure) => [
      measure,
      wanted[measure]
        ? { firstCost: 0, firstCostPerM2: 0, yearlyCost: 0, yearlyCostPerM2: 0, low: 0, high: 1, ...wanted[measure] }
        : false,
    ]),
  ),
});
const line = (site: object): YardWords => ({
  site: site as Record<string, unknown>,
  zones: { Z1: { activity: 'fueling', oilLitresPerYear: 100, drainsTo: 'CB-1' } },
  structures: { 'CB-1': { kind: 'catch-basin', holds: 0 }, 'SEP-1': { kind: 'separator' }, OUT: { kind: 'outfall' } },
  links: { P1: { from: 'CB-1', to: 'SEP-1' }, P2: { from: 'SEP-1', to: 'OUT' } },
});
const ask = (words: YardWords, budget: number): MeasuresAnswer => {
  const { answer } = findMeasures(yard(words), { budget }, solve);
  if (!answer) throw new Error('no plan');
  return answer;
};

describe('measures', () => {
  test('what a site says of a measure keeps its source, and its cut lies within its range', () => {
    const measures = { 'hose-checks': { cut: 0.9, source: 'trial of 2025' }, roof: { cut: 0.2 } };
    const found = programmeOf(yard(line({ measures }))).measures;
    const of = (name: string) => found.find(({ measure }) => measure === name);
    expect(of('hose-checks')).toMatchObject({ cut: 0.9, low: 0.1, high: 0.9, source: 'trial of 2025' });
    expect(of('roof')).toMatchObject({ cut: 0.2, low: 0.2, high: 0.8 });
    expect(english(of('roof')?.source ?? '')).toBe('site');
  });

  test('in series they multiply and do not add up: an insert and a valve keep back 1 − 0.9 · 0.8', () => {
    const answer = ask(
      line(only({ insert: { cut: 0.1, firstCost: 5 }, 'shut-off-valve': { cut: 0.2, firstCost: 7 } })),
      1000,
    );
    expect(answer.litresPerYear).toBeCloseTo(100 * (1 - 0.9 * 0.8), 6);
    expect(answer.cost).toBe(12);
    expect(answer.ranked.map(({ measure, litresPerYear }) => [measure, Math.round(litresPerYear)])).toEqual(
      [
        ['insert', 10],
        ['shut-off-valve', 20],
      ].sort((a, b) => (a[0] === 'insert' ? 0.5 / 10 : 0.7 / 20) - (b[0] === 'insert' ? 0.5 / 10 : 0.7 / 20)),
    );
    // Each chosen one counts by what would come without just it.
    expect(answer.chosen.map(({ measure, litresPerYear }) => [measure, litresPerYear])).toEqual([
      ['shut-off-valve', expect.closeTo(100 * 0.9 * 0.2, 6)],
      ['insert', expect.closeTo(100 * 0.8 * 0.1, 6)],
    ]);
  });

  test('oil counts where it first comes to a separator; an outfall behind it gets what that lets through', () => {
    const answer = ask(line(only({ 'hose-checks': { cut: 0.3, yearlyCost: 600 } })), 600);
    expect(answer.ends.map(({ id, before, after }) => [id, before.litresPerYear, after.litresPerYear])).toEqual([
      ['SEP-1', 100, expect.closeTo(70, 6)],
      ['OUT', expect.closeTo(10, 6), expect.closeTo(7, 6)],
    ]);
    const [{ after }] = answer.ends;
    expect(after.low).toBeLessThan(70);
    expect(after.high).toBeGreaterThan(70);
    expect(answer.chosen[0]).toMatchObject({
      measure: 'hose-checks',
      at: 'Z1',
      cost: 600,
      perLitre: expect.closeTo(20, 6),
    });
  });

  test('a budget of nothing buys nothing, and says so', () => {
    const answer = ask(line({}), 0);
    expect(answer).toMatchObject({ chosen: [], cost: 0, litresPerYear: 0 });
    expect(answer.frontier[0]).toEqual({ cost: 0, litresPerYear: 0 });
    expect(answer.frontier.length).toBeGreaterThan(1);
  });

  test('inserts are weak: by default 10 to 19 % (Edwards et al. 2004)', () => {
    const insert = ask(line({}), 0).ranked.find(({ measure }) => measure === 'insert');
    expect(insert?.litresPerYear).toBeGreaterThanOrEqual(10);
    expect(insert?.litresPerYear).toBeLessThanOrEqual(19);
    expect(english(insert?.source ?? '')).toContain('Edwards et al. 2004');
  });
});

const yards = fc
  .record({
    activities: fc.array(fc.constantFrom('fueling', 'parking', 'workshop', 'loading'), { minLength: 3, maxLength: 3 }),
    litres: fc.array(fc.integer({ min: 0, max: 50 }), { minLength: 3, maxLength: 3 }),
    inlets: fc.array(fc.nat(4), { minLength: 3, maxLength: 3 }),
    kinds: fc.array(fc.constantFrom('catch-basin', 'manhole', 'separator', 'outfall'), { minLength: 5, maxLength: 5 }),
    links: fc.array(fc.tuple(fc.nat(4), fc.nat(5), fc.constantFrom('pipe', 'pipe', 'swale')), {
      minLength: 2,
      maxLength: 8,
    }),
    cuts: fc.array(fc.double({ min: 0.05, max: 0.9, noNaN: true }), { minLength: 4, maxLength: 4 }),
    costs: fc.array(fc.integer({ min: 1, max: 40 }), { minLength: 4, maxLength: 4 }),
  })
  .map(
    ({ activities, litres, inlets, kinds, links, cuts, costs }): YardWords => ({
      site: only({
        'hose-checks': { cut: cuts[0], firstCost: costs[0] },
        'drip-pans': { cut: cuts[1], firstCost: costs[1] },
        insert: { cut: cuts[2], firstCost: costs[2] },
        'shut-off-valve': { cut: cuts[3], firstCost: costs[3] },
      }),
      zones: Object.fromEntries(
        activities.map((activity, at) => [
          `Z${at}`,
          { activity, oilLitresPerYear: litres[at], drainsTo: `S${inlets[at]}` },
        ]),
      ),
      structures: {
        ...Object.fromEntries(kinds.map((kind, at) => [`S${at}`, { kind }])),
        S5: { kind: 'outfall' },
      },
      links: Object.fromEntries(
        links.map(([from, to, kind], at) => [`P${at}`, { kind, from: `S${from}`, to: `S${to}` }]),
      ),
    }),
  );

describe('the best measures for the money', () => {
  test('the frontier is that of all sets of measures, on small yards, loops or not', () => {
    let points = 0;
    fc.assert(
      fc.property(yards, (words) => {
        const programme = programmeOf(yard(words));
        const { measures } = programme;
        if (measures.length > 8) return;
        const sets = Array.from({ length: 1 << measures.length }, (_, set) => {
          const chosen = measures.flatMap((__, at) => ((set >> at) & 1 ? [at] : []));
          return {
            cost: chosen.reduce((sum, at) => sum + measures[at].cost, 0),
            litres: litresWith(programme, chosen),
          };
        });
        const least = (budget: number) =>
          Math.min(...sets.filter(({ cost }) => cost <= budget).map(({ litres }) => litres));
        const { points: frontier, isWhole } = frontierOf(programme, solve);
        expect(isWhole).toBe(true);
        points += frontier.length;
        const all = litresWith(programme, []);
        for (const { cost, litres } of frontier) {
          expect(litres).toBeCloseTo(least(cost), 4);
          // Nothing cheaper does as well.
          expect(least(cost - 1)).toBeGreaterThan(litres - 1e-4);
        }
        // Every budget's best is on it.
        const total = measures.reduce((sum, { cost }) => sum + cost, 0);
        for (let budget = 0; budget <= total; budget += Math.max(1, Math.floor(total / 5))) {
          const bought = frontier.filter(({ cost }) => cost <= budget);
          const best = Math.min(...bought.map(({ litres }) => litres));
          expect(best).toBeLessThanOrEqual(least(budget) + 1e-4 * Math.max(1, all));
          expect(bestFor(programme, budget, solve)?.litres).toBeCloseTo(least(budget), 4);
        }
      }),
      { seed: 91, numRuns: 25 },
    );
    expect(points).toBeGreaterThan(60);
  });

  test('with many measures the frontier is the exact best for some budgets, from nothing to all', () => {
    const words: YardWords = {
      zones: Object.fromEntries(
        Array.from({ length: 7 }, (_, at) => [
          `Z${at}`,
          { activity: 'parking', areaM2: 500 + 90 * at, drainsTo: 'CB-1' },
        ]),
      ),
      structures: { 'CB-1': { kind: 'catch-basin' }, OUT: { kind: 'outfall' } },
      links: { P1: { from: 'CB-1', to: 'OUT' } },
    };
    const programme = programmeOf(yard(words));
    const { points, isWhole } = frontierOf(programme, solve);
    expect(isWhole).toBe(false);
    expect(points[0]).toMatchObject({ chosen: [], cost: 0 });
    expect(points[points.length - 1].chosen).toHaveLength(programme.measures.length);
    for (const point of points) expect(bestFor(programme, point.cost, solve)?.litres).toBeCloseTo(point.litres, 6);
  });

  test('more money never keeps out less oil', () => {
    fc.assert(
      fc.property(yards, fc.nat(60), fc.nat(60), (words, budget, more) => {
        const programme = programmeOf(yard(words));
        const [less, richer] = [bestFor(programme, budget, solve), bestFor(programme, budget + more, solve)];
        expect(richer?.litres ?? Number.NaN).toBeLessThanOrEqual((less?.litres ?? Number.NaN) + 1e-6);
      }),
      { seed: 92, numRuns: 60 },
    );
  });
});
