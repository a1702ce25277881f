import fc from 'fast-check';
import loadHighs from 'highs';
import { beforeAll, describe, expect, test } from 'vitest';
import { type IntegerSolver, integerSolver } from '../../src/algorithms/index.ts';
import { blockExpected, containmentWith, type SourceChance, spillNetwork } from '../../src/block/index.ts';
import { type YardWords, yard } from '../support/yard.ts';

let solve: IntegerSolver;
beforeAll(async () => {
  solve = integerSolver(await loadHighs());
});

const ask = (words: YardWords, sources: SourceChance[], alreadyFouled: string[] = []) => {
  const answer = blockExpected(yard(words), { sources, alreadyFouled }, solve);
  if (!answer) throw new Error('no plan');
  return answer;
};
const controlsOf = ({ plan }: ReturnType<typeof ask>) =>
  plan.controls.map(({ control, at }) => `${control} ${at}`).sort();

/** Two zones with a basin each, both to a manhole and an outfall. */
const fork = (more: Record<string, object> = {}): YardWords => ({
  site: { costs: { pipePerM: 0 } },
  zones: { Z1: { drainsTo: 'CB-1', controls: [] }, Z2: { drainsTo: 'CB-2', controls: [] } },
  structures: {
    'CB-1': { kind: 'catch-basin', cleanupCost: 100, controls: [{ control: 'cover', cost: 40 }], ...more['CB-1'] },
    'CB-2': { kind: 'catch-basin', cleanupCost: 100, controls: [{ control: 'cover', cost: 40 }], ...more['CB-2'] },
    'MH-1': { kind: 'manhole', cleanupCost: 0, controls: [{ control: 'plug', cost: 50 }], ...more['MH-1'] },
    'OUT-1': { kind: 'outfall', cleanupCost: 1000, ...more['OUT-1'] },
  },
  links: {
    P1: { from: 'CB-1', to: 'MH-1' },
    P2: { from: 'CB-2', to: 'MH-1' },
    P3: { from: 'MH-1', to: 'OUT-1' },
  },
});
const even = [
  { zone: 'Z1', chance: 0.5 },
  { zone: 'Z2', chance: 0.5 },
];

describe('blocking ahead of a release whose source is not known', () => {
  test('one plug below both is cheaper than a cover for each, as the hand sum says', () => {
    // Covers: 80. Plug: 50 + half of each basin's 100 = 150; a cover at one and the plug: 40 + 50 + 50 = 140.
    const dear = ask(fork(), even);
    expect(controlsOf(dear)).toEqual(['cover CB-1', 'cover CB-2']);
    expect(dear.plan).toMatchObject({ controlCost: 80, cleanupCost: 0, totalCost: 80, waters: [], gap: 0 });
    expect(dear.doNothingCost).toBe(1100);
    const cheap = ask(fork({ 'CB-1': { cleanupCost: 10 }, 'CB-2': { cleanupCost: 10 } }), even);
    expect(controlsOf(cheap)).toEqual(['plug MH-1']);
    expect(cheap.plan.totalCost).toBe(50 + 0.5 * 10 + 0.5 * 10);
    // A control that serves both is paid once, and each alone is listed with its expected total.
    expect(cheap.singles.map(({ at, totalCost }) => [at, totalCost])).toEqual([
      ['MH-1', 60],
      ['CB-1', 40 + 0.5 * 1010],
      ['CB-2', 40 + 0.5 * 1010],
    ]);
  });

  test('what has oil in it already costs nothing more', () => {
    const answer = ask(fork({ 'MH-1': { cleanupCost: 600 } }), even, ['CB-1', 'CB-2']);
    expect(answer.doNothingCost).toBe(1600);
    expect(ask(fork(), even, ['CB-1', 'CB-2']).plan.totalCost).toBe(50);
  });

  test('never the water, whatever the prices', () => {
    const answer = ask(
      fork({ 'OUT-1': { cleanupCost: 0 }, 'CB-1': { cleanupCost: 0 }, 'CB-2': { cleanupCost: 0 } }),
      even,
    );
    expect(answer.doNothingCost).toBe(0);
    expect(answer.plan.waters).toEqual([]);
    expect(controlsOf(answer)).toEqual(['plug MH-1']);
  });

  test('the kits hold one cover: no plan uses two', () => {
    const kit = {
      type: 'Feature',
      id: 'KIT-1',
      properties: { kind: 'kit', contents: { covers: 1, plugs: 1 } },
      geometry: { type: 'Point', coordinates: [-105, 40] },
    };
    const answer = ask({ ...fork(), others: [kit] }, [
      { zone: 'Z1', chance: 0.8 },
      { zone: 'Z2', chance: 0.2 },
    ]);
    expect(controlsOf(answer)).toEqual(['cover CB-1', 'plug MH-1']);
    expect(answer.plan.waters).toEqual([]);
  });

  test('when the water cannot be kept clean, the chance that oil gets there is said', () => {
    const answer = ask(fork({ 'CB-1': { controls: [] }, 'MH-1': { controls: [] } }), [
      { zone: 'Z1', chance: 0.3 },
      { zone: 'Z2', chance: 0.6 },
    ]);
    expect(answer.plan.waters).toEqual([{ id: 'OUT-1', chance: 0.3 }]);
    expect(controlsOf(answer)).toEqual(['cover CB-2']);
  });

  test('no set of controls does better: all of them are tried on random yards', () => {
    const kinds = fc.constantFrom('catch-basin', 'manhole', 'separator', 'outfall');
    let [drawn, tried] = [0, 0];
    fc.assert(
      fc.property(
        fc.record({
          kinds: fc.array(kinds, { minLength: 6, maxLength: 6 }),
          inlets: fc.array(fc.nat(5), { minLength: 3, maxLength: 3 }),
          chances: fc.array(fc.integer({ min: 1, max: 9 }), { minLength: 3, maxLength: 3 }),
          prices: fc.array(fc.integer({ min: 1, max: 200 }), { minLength: 12, maxLength: 12 }),
          cleanups: fc.array(fc.nat(400), { minLength: 6, maxLength: 6 }),
          links: fc.array(fc.tuple(fc.nat(5), fc.nat(5)), { minLength: 3, maxLength: 9 }),
          covers: fc.nat(3),
        }),
        ({ kinds: chosen, inlets, chances, prices, cleanups, links, covers }) => {
          drawn++;
          const words: YardWords = {
            site: { costs: { pipePerM: 0 } },
            zones: Object.fromEntries(inlets.map((at, zone) => [`Z${zone}`, { drainsTo: `S${at}`, controls: [] }])),
            structures: Object.fromEntries(
              chosen.map((kind, at) => [
                `S${at}`,
                {
                  kind,
                  cleanupCost: cleanups[at],
                  controls:
                    kind === 'outfall'
                      ? []
                      : [
                          { control: 'cover', cost: prices[2 * at] },
                          { control: 'plug', cost: prices[2 * at + 1] },
                        ].slice(0, kind === 'catch-basin' ? 2 : 1),
                },
              ]),
            ),
            links: Object.fromEntries(links.map(([from, to], at) => [`P${at}`, { from: `S${from}`, to: `S${to}` }])),
            others: [
              {
                type: 'Feature',
                id: 'KIT-1',
                properties: { kind: 'kit', contents: { covers, plugs: 9 } },
                geometry: { type: 'Point', coordinates: [-105, 40] },
              },
            ],
          };
          const drainage = yard(words);
          const total = chances.reduce((sum, chance) => sum + chance, 0);
          const sources = chances.map((chance, zone) => ({ zone: `Z${zone}`, chance: chance / total }));
          const spills = drainage.map.zones.map((zone) =>
            spillNetwork(drainage, { zone, inlets: zone.inlets.map(({ to }) => to), without: [] }),
          );
          const gates = new Map(
            spills.flatMap(({ choices }) => choices.map(({ gate }) => [`${gate.at} ${gate.control}`, gate])),
          );
          if (gates.size > 9) return;
          tried++;
          let best = { wet: Number.POSITIVE_INFINITY, cost: Number.POSITIVE_INFINITY };
          for (let set = 0; set < 1 << gates.size; set++) {
            const keys = [...gates.keys()].filter((_, at) => (set >> at) & 1);
            if (keys.filter((key) => key.endsWith('cover')).length > covers) continue;
            let cost = keys.reduce((sum, key) => sum + (gates.get(key)?.cost ?? 0), 0);
            let wet = 0;
            spills.forEach((spill, at) => {
              const reached = containmentWith(
                spill,
                spill.choices.filter(({ gate }) => keys.includes(`${gate.at} ${gate.control}`)),
              );
              cost += sources[at].chance * reached.cleanupCost;
              wet += sources[at].chance * reached.waters.length;
            });
            if (wet < best.wet - 1e-9 || (wet < best.wet + 1e-9 && cost < best.cost)) best = { wet, cost };
          }
          const { plan } = ask(words, sources);
          expect(plan.waters.reduce((sum, { chance }) => sum + chance, 0)).toBeCloseTo(best.wet, 6);
          expect(plan.totalCost).toBeCloseTo(best.cost, 4);
        },
      ),
      { seed: 61, numRuns: 80 },
    );
    expect(tried / drawn).toBeGreaterThan(0.5);
  });
});
