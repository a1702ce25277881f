import loadHighs from 'highs';
import { beforeAll, describe, expect, test } from 'vitest';
import { type IntegerSolver, integerSolver } from '../../src/algorithms/index.ts';
import { findKits, type KitsQuestion } from '../../src/kits/index.ts';
import { lengthOf, type Position, walkerPosition } from '../../src/site-map/index.ts';
import { type YardWords, yard } from '../support/yard.ts';

let solve: IntegerSolver;
beforeAll(async () => {
  solve = integerSolver(await loadHighs());
});

const place = (id: string, kind: string, at: [number, number], more: object = {}) => ({
  type: 'Feature',
  id,
  properties: { kind, ...more },
  geometry: { type: 'Point', coordinates: at },
});

/** Six zones in a row from -105 to -104.9975, spots above every second one. */
const row = (others: unknown[] = [], zones: Record<string, object> = {}): YardWords => ({
  zones: Object.fromEntries(
    [0, 1, 2, 3, 4, 5].map((at) => [`Z${at}`, { oilLitresPerYear: at + 1, drainsTo: 'CB-1', ...zones[`Z${at}`] }]),
  ),
  structures: { 'CB-1': { kind: 'catch-basin' }, OUT: { kind: 'outfall' } },
  links: { P1: { from: 'CB-1', to: 'OUT' } },
  others: [
    place('S0', 'kit-spot', [-104.9998, 40.011], { cost: 100 }),
    place('S2', 'kit-spot', [-104.9988, 40.011], { cost: 150 }),
    place('S4', 'kit-spot', [-104.9978, 40.011]),
    ...others,
  ],
});
const ask = (words: YardWords, question: KitsQuestion) => findKits(yard(words), question, solve);
const answer = (words: YardWords, question: KitsQuestion) => {
  const reply = ask(words, question);
  if (!reply.answer) throw new Error(JSON.stringify(reply.problems));
  return reply.answer;
};

describe('kits', () => {
  test('the best pair of spots by hand: every pair is walked to, 1.25 times the straight line at 1.2 m/s', () => {
    const words = row();
    const { map } = yard(words);
    const spots = ['S0', 'S2', 'S4'].map((id) => walkerPosition(map, id) as Position);
    const mean = (chosen: number[]) => {
      const minutes = map.zones.map(({ id }) =>
        Math.min(...chosen.map((at) => (lengthOf([walkerPosition(map, id) as Position, spots[at]]) * 1.25) / 1.2 / 60)),
      );
      return minutes.reduce((sum, each, at) => sum + each * (at + 1), 0) / 21;
    };
    const means = [mean([0, 1]), mean([0, 2]), mean([1, 2])];
    const found = answer(words, { count: 2 });
    expect(found.meanMinutes).toBeCloseTo(Math.min(...means), 9);
    expect(found.gap).toBe(0);
    expect(found.kits.map(({ spot }) => spot)).toEqual(
      [
        ['S0', 'S2'],
        ['S0', 'S4'],
        ['S2', 'S4'],
      ][means.indexOf(Math.min(...means))],
    );
    expect(found.kits.flatMap(({ serves }) => serves).sort()).toEqual(['Z0', 'Z1', 'Z2', 'Z3', 'Z4', 'Z5']);
    expect(found.curve.map(({ count }) => count)).toEqual([1, 2, 3]);
    expect(found.curve[2].meanMinutes).toBeLessThanOrEqual(found.curve[1].meanMinutes);
    expect(found.curve[0].meanMinutes).toBeCloseTo(Math.min(mean([0]), mean([1]), mean([2])), 9);
  });

  test('kits that stand count only when they are to be kept, and then say what they lack', () => {
    const standing = place('KIT-1', 'kit', [-104.9998, 40.0101], { contents: { sorbentLitres: 50, covers: 1 } });
    const words = row([standing], { Z0: { fluids: [{ fluid: 'diesel', largestLitres: 300 }] } });
    expect(answer(words, { count: 1 }).kits.map(({ spot }) => spot)).not.toContain('KIT-1');
    const kept = answer(words, { count: 1, keep: true });
    expect(kept.kits.map(({ spot, isStanding }) => [spot, isStanding])).toEqual([
      ['KIT-1', true],
      ['S4', false],
    ]);
    expect(kept.kits[0].refill).toEqual({ sorbentLitres: 250, plugs: 1, booms: 3 });
    expect(kept.kits[1].refill).toBeNull();
  });

  test('within so many minutes: as few kits as cover all; so many that most is covered', () => {
    const words = row();
    const few = answer(words, { withinMinutes: 2.5 });
    expect(few.beyond).toEqual([]);
    expect(few.worstMinutes).toBeLessThanOrEqual(2.5);
    const one = answer(words, { withinMinutes: few.worstMinutes, count: 1 });
    expect(one.kits).toHaveLength(1);
    // The heaviest zones are the last ones.
    expect(one.beyond).not.toContain('Z5');
  });

  test('a map without spots makes some up along edges and says so', () => {
    const words = { ...row(), others: [] };
    const { answer: found, problems } = ask(words, { count: 2 });
    expect(problems.map(({ code }) => code)).toEqual(['spots-guessed']);
    expect(found?.spots).toBeGreaterThan(20);
    expect(found?.kits.every(({ spot }) => spot === null)).toBe(true);
  });

  test('nobody can be as near as that: a named problem', () => {
    expect(ask(row(), { withinMinutes: 0.001 })).toMatchObject({ answer: null, problems: [{ code: 'no-plan' }] });
  });

  test('more kits than spots; a map without zones: named problems', () => {
    expect(ask(row(), { count: 9 })).toMatchObject({ answer: null, problems: [{ code: 'too-many-kits' }] });
    expect(ask({ ...row(), zones: {} }, { count: 1 })).toMatchObject({
      answer: null,
      problems: [{ code: 'no-zones' }],
    });
  });

  test('a zone that walls shut in is left out and named', () => {
    const ring = (x0: number, x1: number, y0: number, y1: number) => [
      [x0, y0],
      [x1, y0],
      [x1, y1],
      [x0, y1],
      [x0, y0],
    ];
    const wall = {
      type: 'Feature',
      id: 'B-1',
      properties: { kind: 'building' },
      geometry: { type: 'LineString', coordinates: ring(-105.00005, -104.99955, 40.00995, 40.01045) },
    };
    const { answer: found, problems } = ask(row([wall]), { count: 1 });
    expect(problems).toMatchObject([{ code: 'no-way', id: 'Z0' }]);
    expect(found?.kits[0].serves).toEqual(['Z1', 'Z2', 'Z3', 'Z4', 'Z5']);
    expect(Number.isFinite(found?.meanMinutes)).toBe(true);
  });

  test('fuelling farther than 25 ft from every kit is hinted at (Washington State, source control of fuelling)', () => {
    const far = answer(row([], { Z5: { activity: 'fueling' } }), { count: 1 });
    expect(far.fuelingFar).toEqual([{ zone: 'Z5', metres: expect.any(Number) }]);
    const near = row([place('S9', 'kit-spot', [-104.9974, 40.0101])], { Z5: { activity: 'fueling' } });
    expect(answer(near, { count: 4 }).fuelingFar).toEqual([]);
    // A kit that stands beside it is there, whether or not the plan counts on it.
    const stands = row([place('K9', 'kit', [-104.9974, 40.0101])], { Z5: { activity: 'fueling' } });
    for (const keep of [false, true]) expect(answer(stands, { count: 1, keep }).fuelingFar).toEqual([]);
  });
});
