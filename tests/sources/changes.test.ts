import { describe, expect, test } from 'vitest';
import { seededRandom } from '../../src/algorithms/index.ts';
import { findSources, type Share, type SourcesAnswer, type SourcesOptions } from '../../src/sources/index.ts';
import { askOften, askSources, soundFindings } from '../support/ask.ts';
import type { RawFinding } from '../support/slow-sources.ts';
import { litres, look, SECOND_YEAR, star, TWO_YEARS } from '../support/star.ts';
import { type YardWords, yard } from '../support/yard.ts';

/*
 * Change the question, know the change of the answer. Where both answers carry Monte-Carlo error they must agree within 4.5
 * combined standard errors, taken from the spread between seeds, plus what a spread of so few seeds may have missed.
 */
const ERRORS = 4.5;
const SEEDS = 4;
const LEAST_ERROR = 0.0015;
const KEYS = ['share', 'low', 'high'] as const;

/** A line of three manholes with two zones at its head, and five findings. */
const LINE: YardWords = {
  zones: {
    Z1: { oilLitresPerYear: 4, drainsTo: 'MH-1' },
    Z2: { oilLitresPerYear: 2, drainsTo: 'MH-2' },
    Z3: { oilLitresPerYear: 3, drainsTo: 'MH-3', yieldFactor: 1.5 },
  },
  structures: {
    'MH-1': { kind: 'manhole', holds: 0.2 },
    'MH-2': { kind: 'manhole', holds: 0.1 },
    'MH-3': { kind: 'manhole' },
    'SEP-1': { kind: 'separator' },
  },
  links: {
    P1: { from: 'MH-1', to: 'MH-2' },
    P2: { from: 'MH-2', to: 'MH-3' },
    P3: { from: 'MH-3', to: 'SEP-1' },
  },
};
const LINE_FINDINGS = [
  look('F1', 'SEP-1', { ...TWO_YEARS, ...litres(5) }),
  look('F2', 'MH-1', { seen: 'clean', noticeLitres: 0.5, misread: 0.1 }),
  look('F3', 'MH-2', { ...SECOND_YEAR, seen: 'oil' }),
  look('F4', 'MH-3', { ...TWO_YEARS, seen: 'oil', fluid: 'diesel' }),
];

describe('cutting a zone in two', () => {
  test('leaves the share and the bounds of every other source as they were, whatever was found', () => {
    const { Z1, ...others } = LINE.zones as Record<string, Record<string, unknown>>;
    const cut = {
      ...LINE,
      zones: { Z1a: { ...Z1, oilLitresPerYear: 1.5 }, Z1b: { ...Z1, oilLitresPerYear: 2.5 }, ...others },
    };
    const [before, after] = [LINE, cut].map((words) =>
      askOften(yard(words), LINE_FINDINGS, { releaseLitres: 2, unmappedShare: 0.05, seeds: SEEDS }),
    );
    for (const id of ['Z2', 'Z3', 'unmapped']) {
      for (const key of KEYS) {
        const error = Math.hypot(before.errors.get(id)?.[key] ?? Number.NaN, after.errors.get(id)?.[key] ?? Number.NaN);
        const off = Math.abs(
          (before.shares.get(id)?.[key] ?? Number.NaN) - (after.shares.get(id)?.[key] ?? Number.NaN),
        );
        expect(ERRORS * error, `${id} ${key}: a tolerance that tells`).toBeLessThan(0.05);
        expect(off, `${id} ${key}`).toBeLessThan(ERRORS * Math.max(LEAST_ERROR, error));
      }
    }
    const share = (id: string) => after.shares.get(id)?.share ?? Number.NaN;
    expect(share('Z1a') / share('Z1b')).toBeCloseTo(1.5 / 2.5, 1);
  });
});

describe('new names', () => {
  test('rename the answer and change no figure', () => {
    const renamed = (text: string) =>
      text.replaceAll('"Z1"', '"Yard gate"').replaceAll('"MH-', '"Hole ').replaceAll('"SEP-1"', '"Tank"');
    const [words, findings] = [
      JSON.parse(renamed(JSON.stringify(LINE))),
      JSON.parse(renamed(JSON.stringify(LINE_FINDINGS))),
    ];
    expect(JSON.stringify(words)).not.toContain('MH-1');
    const before = askSources(yard(LINE), LINE_FINDINGS);
    const after = askSources(yard(words), findings);
    const figures = ({ zones, unmapped, effectiveDraws, release }: SourcesAnswer) => ({
      zones,
      unmapped,
      effectiveDraws,
      release,
    });
    expect(figures(after)).toEqual(JSON.parse(renamed(JSON.stringify(figures(before)))));
  });
});

describe('one more clean lid', () => {
  test.each([1, 2, 3, 4])('never raises a zone that drains only through it (random yard %i)', (seed) => {
    const random = seededRandom(500 + seed);
    const between = (low: number, high: number) => low + (high - low) * random.uniform();
    const words = star([between(0.5, 6), between(0.5, 6), between(0.5, 6)]);
    const findings = [
      look('F1', 'SEP-1', litres(between(1, 8), between(1.1, 2))),
      look('F2', 'MH-2', { seen: random.uniform() < 0.5 ? 'clean' : 'oil' }),
    ];
    const clean = look('F3', 'MH-1', { seen: 'clean', misread: between(0, 0.3), noticeLitres: between(0.1, 1) });
    const options = { releaseLitres: between(0.5, 8), unmappedShare: 0, seeds: SEEDS };
    const [before, after] = [findings, [...findings, clean]].map((each) => askOften(yard(words), each, options));
    const share = ({ shares }: typeof before) => shares.get('Z1')?.share ?? Number.NaN;
    const error = Math.hypot(before.errors.get('Z1')?.share ?? Number.NaN, after.errors.get('Z1')?.share ?? Number.NaN);
    expect(share(after)).toBeLessThan(share(before) + ERRORS * Math.max(LEAST_ERROR, error));
    // Here the lid does tell something: the share falls by more than chance.
    expect(share(after)).toBeLessThan(share(before) - 0.01);
  });
});

/** All parts of an answer are numbers from 0 to 1, and they add up to 1. */
function expectSound({ zones, unmapped, ...rest }: SourcesAnswer) {
  const all: Share[] = [...zones, unmapped];
  for (const each of all) {
    for (const key of [...KEYS, 'main'] as const) {
      expect(each[key]).toBeGreaterThanOrEqual(0);
      expect(each[key]).toBeLessThanOrEqual(1 + 1e-12);
    }
    expect(each.low).toBeLessThanOrEqual(each.high);
  }
  expect(all.reduce((sum, { share }) => sum + share, 0)).toBeCloseTo(1, 9);
  expect(all.reduce((sum, { main }) => sum + main, 0)).toBeCloseTo(1, 2);
  for (const { bits, chanceOfOil } of rest.nextLids) {
    expect(bits).toBeGreaterThanOrEqual(0);
    expect(chanceOfOil).toBeGreaterThanOrEqual(0);
    expect(chanceOfOil).toBeLessThanOrEqual(1);
  }
  for (const value of Object.values(rest.release)) expect(Number.isFinite(Number(value))).toBe(true);
  expect(rest.rHat === null || Number.isFinite(rest.rHat)).toBe(true);
}

interface HardCase {
  name: string;
  yearly?: number[];
  findings: RawFinding[];
  options?: SourcesOptions;
}

const fiveLitres = look('F1', 'SEP-1', litres(5));
const clean = (at: string, more: Partial<RawFinding> = {}) => look(`C ${at}`, at, { seen: 'clean', ...more });

const HARD: HardCase[] = [
  { name: 'clean, never misread, and 5 L at the same place', findings: [fiveLitres, clean('SEP-1', { misread: 0 })] },
  {
    name: 'clean at every lid, never misread',
    findings: [fiveLitres, ...[1, 2, 3].map((at) => clean(`MH-${at}`, { misread: 0, noticeLitres: 1e-6 }))],
  },
  { name: 'an amount of 0', findings: [look('F1', 'SEP-1', { amount: { litres: 0 } })] },
  {
    name: 'an amount of 0 and one of 5 L at the same place',
    findings: [look('F1', 'SEP-1', { amount: { litres: 0 } }), { ...fiveLitres, id: 'F2' }],
  },
  {
    name: 'amounts a thousand times apart at the same place',
    findings: [fiveLitres, look('F2', 'SEP-1', litres(5000))],
  },
  {
    name: 'more litres above than below',
    findings: [look('F1', 'SEP-1', litres(0.005)), look('F2', 'MH-1', { seen: 'oil', noticeLitres: 1000 })],
  },
  { name: 'a look that is always wrong', findings: [fiveLitres, clean('MH-1', { misread: 1 })] },
  { name: 'an amount known exactly', findings: [look('F1', 'SEP-1', litres(5, 1)), clean('MH-1')] },
  {
    name: 'two amounts known exactly that disagree',
    findings: [look('F1', 'SEP-1', litres(5, 1)), look('F2', 'SEP-1', litres(6, 1))],
  },
  { name: 'releases of a nanolitre', findings: [fiveLitres, clean('MH-1')], options: { releaseLitres: 1e-9 } },
  {
    name: 'releases of a million m³',
    findings: [fiveLitres, clean('MH-1')],
    options: { releaseLitres: 1e9, unmappedShare: 0 },
  },
  { name: 'any drop is noticed', findings: [fiveLitres, clean('MH-1', { noticeLitres: 1e-9 })] },
  {
    name: 'nothing is ever noticed',
    findings: [fiveLitres, look('F2', 'MH-1', { seen: 'oil', misread: 0, noticeLitres: 1e6 })],
  },
  { name: 'a billion litres', findings: [look('F1', 'SEP-1', litres(1e9)), clean('MH-1')] },
  { name: 'a picolitre', findings: [look('F1', 'SEP-1', litres(1e-12)), clean('MH-1')] },
  { name: 'one second', findings: [{ ...fiveLitres, since: '2024-01-01T05:59:59Z' }, clean('MH-1')] },
  {
    name: 'ten thousand years',
    findings: [{ ...fiveLitres, since: '0001-01-01', seenAt: '9999-12-31' }, clean('MH-1')],
  },
  {
    name: 'a zone without yield and clean ground',
    yearly: [4, 0, 1],
    findings: [fiveLitres, clean('Z2'), clean('MH-2')],
  },
  { name: 'no yield anywhere', yearly: [0, 0, 0], findings: [fiveLitres, clean('MH-1')] },
  { name: 'yields a billion times apart', yearly: [1e-4, 1e5, 1], findings: [fiveLitres, clean('MH-2')] },
  {
    name: 'no rain and nothing unmapped',
    findings: [{ ...fiveLitres, rainMm: 0 }, clean('MH-1')],
    options: { unmappedShare: 0 },
  },
  { name: 'no rain', findings: [{ ...fiveLitres, rainMm: 0 }, clean('MH-1', { rainMm: 0 })] },
  { name: 'a fluid that no zone was asked about', findings: [{ ...fiveLitres, fluid: 'cooking-oil' }, clean('MH-1')] },
];

describe('contradictory or empty evidence', () => {
  const unanswered = new Set<string>();
  test.each(HARD)(
    '$name: an answer whose shares add up to 1, or a named problem',
    ({ name, yearly = [4, 2, 1], findings, options = {} }) => {
      const drainage = yard(star(yearly));
      const { answer, problems } = findSources(drainage, soundFindings(drainage, findings), options);
      if (answer) expectSound(answer);
      else {
        expect(problems).toMatchObject([{ severity: 'error', code: 'no-finding' }]);
        unanswered.add(name);
      }
    },
  );

  test('only those have no answer of which nothing can be the source', () => {
    expect(unanswered).toEqual(new Set(['no yield anywhere', 'no rain and nothing unmapped']));
  });

  test('a fluid that no zone lists, with nothing unmapped allowed for, is a named problem', () => {
    const words = star([4, 2]);
    for (const zone of Object.values(words.zones ?? {})) zone.fluids = [{ fluid: 'diesel' }];
    const drainage = yard(words);
    const gasoline = soundFindings(drainage, [{ ...fiveLitres, fluid: 'gasoline' }]);
    const { answer, problems } = findSources(drainage, gasoline, { unmappedShare: 0 });
    if (answer) expectSound(answer);
    else expect(problems).toMatchObject([{ severity: 'error', code: 'no-finding' }]);
    const allowed = findSources(drainage, gasoline, { unmappedShare: 0.02 }).answer as SourcesAnswer;
    expectSound(allowed);
    expect(allowed.unmapped.share).toBe(1);
  });
});

describe('a release far larger than the yard’s yield in the window', () => {
  // One zone is the source, with a chance of μ × what the clean look says: 4 × 0.05 to 2 × 0.95 to 1 × 0.95.
  test.each([1e3, 1e8])('θ = %d L: one zone sent it all, by yield and by what the lid said', (releaseLitres) => {
    const findings = [fiveLitres, clean('MH-1')];
    const { zones, isSure } = askSources(yard(star([4, 2, 1])), findings, { releaseLitres, unmappedShare: 0 });
    expect(isSure).toBe(true);
    const main = (id: string) => zones.find((zone) => zone.id === id)?.main ?? Number.NaN;
    expect(Math.abs(main('Z1') - 0.2 / 3.05)).toBeLessThan(0.03);
    expect(Math.abs(main('Z2') - 1.9 / 3.05)).toBeLessThan(0.04);
    expect(Math.abs(main('Z3') - 0.95 / 3.05)).toBeLessThan(0.04);
  });
});

describe('what is not on the map', () => {
  const whole: YardWords = {
    zones: { Z1: { oilLitresPerYear: 3, drainsTo: 'CB-1' }, Z2: { oilLitresPerYear: 3, drainsTo: 'CB-2' } },
    structures: {
      'CB-1': { kind: 'catch-basin', holds: 0.1 },
      'CB-2': { kind: 'catch-basin', holds: 0.1 },
      'SEP-1': { kind: 'separator', holds: 0.9 },
    },
    links: { P1: { from: 'CB-1', to: 'SEP-1' }, P2: { from: 'CB-2', to: 'SEP-1' } },
  };
  const { P1 } = whole.links as NonNullable<YardWords['links']>;
  // 30 L came from Z2 and were found at the separator; Z1 and its basin are clean.
  const findings = [look('F1', 'SEP-1', litres(30)), clean('CB-1'), clean('Z1')];

  test('comes up when a pipe is missing: oil at the separator, all that drains there clean', () => {
    const { unmapped } = askSources(yard({ ...whole, links: { P1 } }), findings);
    expect(unmapped.main).toBeGreaterThan(0.5);
  });

  test('stays small when nothing is missing', () => {
    const { unmapped, zones } = askSources(yard(whole), findings);
    expect(unmapped.main).toBeLessThan(0.2);
    expect(zones[0]).toMatchObject({ id: 'Z2' });
    expect(zones[0].main).toBeGreaterThan(0.8);
  });

  test('comes up at a basin that held oil though its only zone was clean twice over; has all of it where no zone drains', () => {
    const held = look('F1', 'CB-1', litres(1));
    const twice = [held, clean('Z1'), { ...clean('Z1'), id: 'again' }];
    const zones = { Z1: { oilLitresPerYear: 0.3, drainsTo: 'CB-1' }, Z2: { oilLitresPerYear: 0.3, drainsTo: 'CB-2' } };
    const quiet = yard({ ...whole, zones });
    expect(askSources(quiet, twice).unmapped.main).toBeGreaterThan(0.5);
    expect(askSources(quiet, [held]).unmapped.main).toBeLessThan(0.2);
    const bare = { ...whole, structures: { ...whole.structures, 'CB-3': { kind: 'catch-basin' } } };
    const { unmapped, zones: above } = askSources(yard(bare), [look('F1', 'CB-3', { seen: 'oil' })]);
    expect(above).toEqual([]);
    expect(unmapped).toEqual({ share: expect.closeTo(1, 9), low: 1, high: 1, main: 1 });
  });
});

describe('ground and rain', () => {
  test('what lies on a zone’s own ground needs no rain to get there: a look at it counts in full on a dry day', () => {
    const ask = (more: Partial<RawFinding>) => {
      const ground = look('F2', 'Z2', { seen: 'clean', misread: 0, noticeLitres: 0.2, ...more });
      return askSources(yard(star([3, 3])), [look('F1', 'SEP-1', litres(5)), ground], {
        releaseLitres: 2,
        unmappedShare: 0,
      });
    };
    const [unknown, dry] = [ask({}), ask({ rainMm: 0 })];
    expect(unknown.zones[0]).toMatchObject({ id: 'Z1' });
    expect(unknown.zones[0].share).toBeGreaterThan(0.9);
    expect(dry.zones).toEqual(unknown.zones);
  });
});
