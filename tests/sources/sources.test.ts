import { describe, expect, test } from 'vitest';
import { dirichletParts } from '../../src/algorithms/index.ts';
import type { Drainage } from '../../src/drainage/index.ts';
import { hasErrors } from '../../src/site-map/index.ts';
import {
  findSources,
  readFindings,
  type Share,
  type SourcesAnswer,
  type SourcesOptions,
  type ZoneShare,
} from '../../src/sources/index.ts';
import { type YardWords, yard } from '../support/yard.ts';

const finding = (more: object) => ({ id: 'F1', at: 'SEP-1', since: '2026-03-01', seenAt: '2026-05-30', ...more });
const fiveLitres = finding({ amount: { litres: 5, factor: 1.2 } });
const YEARS = 90 / 365.25;

function ask(drainage: Drainage, findings: object[], options: SourcesOptions = {}): SourcesAnswer {
  const text = JSON.stringify({ format: 'oilshed-findings', version: 1, findings });
  const reading = readFindings(text, drainage.map);
  if (hasErrors(reading.problems)) throw new Error(JSON.stringify(reading.problems));
  const { answer, problems } = findSources(drainage, reading.findings, options);
  if (!answer) throw new Error(JSON.stringify(problems));
  return answer;
}

/** Zones with known yields, each through a manhole of its own to one separator. */
function star(litresPerYear: number[], more: Partial<YardWords> = {}): Drainage {
  const zones = litresPerYear.map((litres, at) => [
    `Z${at + 1}`,
    { oilLitresPerYear: litres, drainsTo: `MH-${at + 1}` },
  ]);
  const manholes = litresPerYear.map((_, at) => [`MH-${at + 1}`, { kind: 'manhole' }]);
  const pipes = litresPerYear.map((_, at) => [`P${at + 1}`, { from: `MH-${at + 1}`, to: 'SEP-1' }]);
  return yard({
    zones: Object.fromEntries(zones),
    structures: { ...Object.fromEntries(manholes), 'SEP-1': { kind: 'separator', holds: 0.9 } },
    links: Object.fromEntries(pipes),
    ...more,
  });
}

describe('one amount, equal delivery, known yields', () => {
  test('the shares are Dirichlet(μT/θ): means, Beta bounds and the chance of being the main source', () => {
    const answer = ask(star([8, 4, 2]), [fiveLitres], { releaseLitres: 2, unmappedShare: 0 });
    const expected = dirichletParts(
      [8, 4, 2].map((litres) => (litres * YEARS) / 2),
      0.05,
    );
    expect(answer.method).toBe('exact');
    expect(answer.zones.map(({ id }) => id)).toEqual(['Z1', 'Z2', 'Z3']);
    answer.zones.forEach(({ share, low, high, main }, at) => {
      expect(share).toBeCloseTo(expected[at].mean, 12);
      expect(low).toBeCloseTo(expected[at].low, 12);
      expect(high).toBeCloseTo(expected[at].high, 12);
      expect(main).toBeCloseTo(expected[at].largest, 12);
    });
    expect(answer.zones[0].share).toBeCloseTo(8 / 14, 12);
  });

  test('the unmapped source is one more part, by its own yield', () => {
    const answer = ask(star([8, 4]), [fiveLitres], { releaseLitres: 2, unmappedShare: 0.1 });
    // One tenth of what arrives here: the yard has no inlet, so all of it counts as one inlet's part.
    expect(answer.unmapped.share).toBeCloseTo(1.2 / 13.2, 12);
    expect(answer.zones.reduce((sum, { share }) => sum + share, answer.unmapped.share)).toBeCloseTo(1, 12);
  });

  test('the draws agree with the closed form when they must be used: θ given, one zone known a hair less exactly', () => {
    const exact = ask(star([8, 4, 2]), [fiveLitres], { releaseLitres: 2, unmappedShare: 0.02 });
    const zones = Object.fromEntries(
      [8, 4, 2].map((litres, at) => [
        `Z${at + 1}`,
        { oilLitresPerYear: litres, drainsTo: `MH-${at + 1}`, yieldFactor: 1.000001 },
      ]),
    );
    // Means over seeds: a bound of one answer alone, of some 2,000 effective draws, is off by 0.01 now and then.
    const answers = [1, 2, 3, 4, 5, 6, 7, 8].map((seed) =>
      ask(star([8, 4, 2], { zones }), [fiveLitres], { releaseLitres: 2, unmappedShare: 0.02, seed }),
    );
    expect([exact.method, ...new Set(answers.map(({ method }) => method))]).toEqual(['exact', 'draws']);
    exact.zones.forEach((zone) => {
      const drawn = answers.map(({ zones }) => zones.find(({ id }) => id === zone.id) as ZoneShare);
      const off = (key: keyof Share) => Math.abs(drawn.reduce((sum, each) => sum + each[key], 0) / 8 - zone[key]);
      expect(off('share')).toBeLessThan(0.01);
      expect(off('main')).toBeLessThan(0.015);
      expect(off('low')).toBeLessThan(0.01);
      expect(off('high')).toBeLessThan(0.015);
    });
  });

  test('cutting a zone of known yield in two leaves the share of every other zone unchanged', () => {
    const whole = ask(star([8, 4]), [fiveLitres], { releaseLitres: 2, unmappedShare: 0 });
    const cut = ask(star([5, 4, 3]), [fiveLitres], { releaseLitres: 2, unmappedShare: 0 });
    const of = (answer: SourcesAnswer, id: string) => answer.zones.find((zone) => zone.id === id);
    expect(of(cut, 'Z2')?.share).toBeCloseTo(of(whole, 'Z2')?.share ?? Number.NaN, 12);
    expect(of(cut, 'Z2')?.low).toBeCloseTo(of(whole, 'Z2')?.low ?? Number.NaN, 9);
    expect(of(cut, 'Z2')?.high).toBeCloseTo(of(whole, 'Z2')?.high ?? Number.NaN, 9);
  });

  test('many small releases make the shares those of the yields; one large release makes it one zone', () => {
    const seepage = ask(star([8, 4]), [fiveLitres], { releaseLitres: 0.0005, unmappedShare: 0 });
    expect(seepage.zones[0].high - seepage.zones[0].low).toBeLessThan(0.05);
    const spill = ask(star([8, 4]), [fiveLitres], { releaseLitres: 2000, unmappedShare: 0 });
    expect(spill.zones[0].low).toBeLessThan(0.001);
    expect(spill.zones[0].high).toBeGreaterThan(0.999);
    expect(spill.zones[0].main).toBeCloseTo(8 / 12, 2);
  });
});

describe('unequal delivery', () => {
  test('equal yields of 1.1 L in the window, delivery 1 and 0.1, 5 L found, θ = 2 L: the nearer zone has 0.975, not one half', () => {
    const drainage = yard({
      zones: { Z1: { oilLitresPerYear: 1.1, drainsTo: 'MH-1' }, Z2: { oilLitresPerYear: 1.1, drainsTo: 'MH-2' } },
      structures: {
        'MH-1': { kind: 'manhole' },
        'MH-2': { kind: 'manhole', holds: 0.9 },
        'SEP-1': { kind: 'separator', holds: 1 },
      },
      links: { P1: { from: 'MH-1', to: 'SEP-1' }, P2: { from: 'MH-2', to: 'SEP-1' } },
    });
    const year = finding({ since: '2025-05-30', seenAt: '2026-05-30', amount: { litres: 5, factor: 1.01 } });
    const { zones, method } = ask(drainage, [year], { releaseLitres: 2, unmappedShare: 0 });
    expect(method).toBe('draws');
    expect(zones[0].id).toBe('Z1');
    // Two independent gammas of shape 0.55, scales 2 and 0.2, that add up to 5: by quadrature over the split.
    const expected = shareBySplit({ shapes: [0.55, 0.55], scales: [2, 0.2], total: 5 });
    expect(expected).toBeCloseTo(0.975, 3);
    expect(Math.abs(zones[0].share - expected)).toBeLessThan(0.004);
  });

  test('with two zones and any deliveries the share is the quadrature over their split', () => {
    for (const [holds, litres] of [
      [0.5, 1],
      [0.2, 12],
      [0.8, 0.3],
    ]) {
      const drainage = yard({
        zones: { Z1: { oilLitresPerYear: 3, drainsTo: 'MH-1' }, Z2: { oilLitresPerYear: 9, drainsTo: 'MH-2' } },
        structures: {
          'MH-1': { kind: 'manhole' },
          'MH-2': { kind: 'manhole', holds },
          'SEP-1': { kind: 'separator', holds: 1 },
        },
        links: { P1: { from: 'MH-1', to: 'SEP-1' }, P2: { from: 'MH-2', to: 'SEP-1' } },
      });
      const year = finding({ since: '2025-05-30', seenAt: '2026-05-30', amount: { litres, factor: 1.001 } });
      const answer = ask(drainage, [year], { releaseLitres: 4, unmappedShare: 0 });
      const expected = shareBySplit({ shapes: [0.75, 2.25], scales: [4, 4 * (1 - holds)], total: litres });
      expect(Math.abs((answer.zones.find(({ id }) => id === 'Z1')?.share ?? 0) - expected)).toBeLessThan(0.012);
    }
  });
});

/** E[x₁ / (x₁ + x₂)] of two gammas given that they add up to `total`, by the midpoint rule in s², which tames the ends. */
function shareBySplit({ shapes, scales, total }: { shapes: number[]; scales: number[]; total: number }): number {
  let [sum, weighted] = [0, 0];
  const steps = 400_000;
  for (let step = 0; step < steps; step++) {
    // part = sin²(angle) covers 0 to 1 with a density that removes singular ends for shapes above 1/2.
    const angle = ((step + 0.5) / steps) * (Math.PI / 2);
    const part = Math.sin(angle) ** 2;
    const jacobian = 2 * Math.sin(angle) * Math.cos(angle);
    const density =
      part ** (shapes[0] - 1) *
      (1 - part) ** (shapes[1] - 1) *
      Math.exp(-total * (part / scales[0] + (1 - part) / scales[1]));
    sum += density * jacobian;
    weighted += part * density * jacobian;
  }
  return weighted / sum;
}

describe('the answer', () => {
  test('the same question gives the same bytes, another seed other draws', () => {
    const rough = star([8, 4, 2], {
      zones: { Z1: { drainsTo: 'MH-1' }, Z2: { drainsTo: 'MH-2' }, Z3: { drainsTo: 'MH-3' } },
    });
    const [first, again, other] = [1, 1, 2].map((seed) => JSON.stringify(ask(rough, [fiveLitres], { seed })));
    expect(first).toBe(again);
    expect(first).not.toBe(other);
  });

  test('rough default yields widen the interval of a known one', () => {
    const known = ask(star([20, 20]), [fiveLitres], { releaseLitres: 0.05 });
    const rough = ask(
      star([20, 20], { zones: { Z1: { drainsTo: 'MH-1', areaM2: 1000 }, Z2: { drainsTo: 'MH-2', areaM2: 1000 } } }),
      [fiveLitres],
      { releaseLitres: 0.05 },
    );
    const width = ({ zones: [{ low, high }] }: SourcesAnswer) => high - low;
    expect(width(rough)).toBeGreaterThan(width(known) * 1.5);
  });

  test('zones with the same delivery are one group, others stand alone', () => {
    const drainage = star([8, 4, 2], {
      structures: {
        'MH-1': { kind: 'manhole' },
        'MH-2': { kind: 'manhole' },
        'MH-3': { kind: 'manhole', holds: 0.5 },
        'SEP-1': { kind: 'separator', holds: 0.9 },
      },
    });
    expect(ask(drainage, [fiveLitres]).groups).toEqual([['Z1', 'Z2']]);
  });

  test('only zones that deliver something are listed, largest share first', () => {
    const drainage = star([1, 8], {
      zones: {
        Z1: { oilLitresPerYear: 1, drainsTo: 'MH-1' },
        Z2: { oilLitresPerYear: 8, drainsTo: 'MH-2' },
        Z3: { oilLitresPerYear: 50, drainsTo: 'OUT-1' },
      },
      structures: {
        'MH-1': { kind: 'manhole' },
        'MH-2': { kind: 'manhole' },
        'SEP-1': { kind: 'separator' },
        'OUT-1': { kind: 'outfall' },
      },
    });
    expect(ask(drainage, [fiveLitres]).zones.map(({ id }) => id)).toEqual(['Z2', 'Z1']);
  });

  test('without --at the largest amount decides, else the first oil, else nothing: prior shares at no place', () => {
    const drainage = star([8, 4]);
    const amounts = [fiveLitres, finding({ id: 'F2', at: 'MH-1', seen: 'oil' })];
    expect(ask(drainage, amounts).at).toBe('SEP-1');
    expect(ask(drainage, amounts, { at: 'MH-1' })).toMatchObject({ at: 'MH-1', finding: 'F2' });
    expect(ask(drainage, [finding({ at: 'MH-2', seen: 'oil' })]).at).toBe('MH-2');
    const nothing = ask(drainage, [], { releaseLitres: 2 });
    expect(nothing).toMatchObject({ at: null, finding: null, isOily: false, groups: [] });
    expect(nothing.zones.map(({ share }) => share)).toEqual([expect.closeTo(8 / 12, 9), expect.closeTo(4 / 12, 9)]);
    // A clean lid alone leaves the place open, and lowers the zone above it.
    const clean = ask(drainage, [finding({ at: 'MH-2', seen: 'clean' })], { releaseLitres: 2 });
    expect(clean.at).toBeNull();
    expect(clean.zones.find(({ id }) => id === 'Z2')?.share).toBeLessThan(0.25);
  });

  test('a zone without yield has no share, and a yard without any yield is a named problem, never NaN', () => {
    const answer = ask(star([8, 0]), [fiveLitres]);
    expect(answer.zones.find(({ id }) => id === 'Z2')).toEqual({
      id: 'Z2',
      share: 0,
      low: 0,
      high: 0,
      main: 0,
      why: [],
    });
    expect(JSON.stringify(answer)).not.toContain('null,"low"');
    const { answer: none, problems } = findSources(star([0, 0]), [], {});
    expect(none).toBeNull();
    expect(problems).toMatchObject([{ severity: 'error', code: 'no-finding' }]);
  });

  test('the next lid in a single spill is the one that halves the suspects', () => {
    // Four equal zones in a row along one sewer: the second manhole has two of them above it.
    const line = [1, 2, 3, 4];
    const drainage = yard({
      zones: Object.fromEntries(line.map((at) => [`Z${at}`, { oilLitresPerYear: 3, drainsTo: `MH-${at}` }])),
      structures: {
        ...Object.fromEntries(line.map((at) => [`MH-${at}`, { kind: 'manhole' }])),
        'SEP-1': { kind: 'separator', holds: 0.9 },
      },
      links: Object.fromEntries(
        line.map((at) => [`P${at}`, { from: `MH-${at}`, to: at === 4 ? 'SEP-1' : `MH-${at + 1}` }]),
      ),
    });
    const { nextLids } = ask(drainage, [finding({ amount: { litres: 200, factor: 1.1 } })], {
      releaseLitres: 2000,
      unmappedShare: 0,
    });
    expect(nextLids[0].at).toBe('MH-2');
    // One bit, less the few looks that are misread: 1 − H(0.03).
    expect(nextLids[0].bits).toBeCloseTo(1 + 0.03 * Math.log2(0.03) + 0.97 * Math.log2(0.97), 1);
    expect(nextLids[0].chanceOfOil).toBeCloseTo(0.5, 1);
    expect(nextLids[3]).toMatchObject({ at: 'MH-4', bits: expect.closeTo(0, 3) });
  });

  test('a lid that was opened already is not proposed again', () => {
    const { nextLids } = ask(star([8, 4]), [fiveLitres, finding({ id: 'F2', at: 'MH-1', seen: 'clean' })]);
    expect(nextLids.map(({ at }) => at)).toEqual(['MH-2']);
  });
});
