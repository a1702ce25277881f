import { describe, expect, test } from 'vitest';
import type { Drainage } from '../../src/drainage/index.ts';
import { type Position, walkingGround } from '../../src/site-map/index.ts';
import {
  findSources,
  type LidPlan,
  type NextLid,
  OPENING_MINUTES,
  type SourcesOptions,
} from '../../src/sources/index.ts';
import { askSources, soundFindings } from '../support/ask.ts';
import { english } from '../support/english.ts';
import { yard } from '../support/yard.ts';

const held = {
  id: 'F1',
  at: 'SEP-1',
  since: '2026-03-01',
  seenAt: '2026-05-30',
  amount: { litres: 200, factor: 1.1 },
};
const EIGHT = [1, 2, 3, 4, 5, 6, 7, 8];

/** Eight zones of known yield along one sewer, 43 m from manhole to manhole, with a kit and a crew post. */
function line(others: object[] = [], zones: Record<string, object> = {}): Drainage {
  return yard({
    zones: Object.fromEntries(
      EIGHT.map((at) => [`Z${at}`, { oilLitresPerYear: 3, drainsTo: `MH-${at}`, ...zones[`Z${at}`] }]),
    ),
    structures: {
      ...Object.fromEntries(EIGHT.map((at) => [`MH-${at}`, { kind: 'manhole' }])),
      'SEP-1': { kind: 'separator', holds: 0.9 },
    },
    links: Object.fromEntries(
      EIGHT.map((at) => [`P${at}`, { from: `MH-${at}`, to: at === 8 ? 'SEP-1' : `MH-${at + 1}` }]),
    ),
    others: [point('KIT-1', 'kit', [-105.0004, 40.0001]), point('CREW-1', 'crew', [-104.9968, 40.0001]), ...others],
  });
}

const point = (id: string, kind: string, coordinates: Position) => ({
  type: 'Feature',
  id,
  properties: { kind },
  geometry: { type: 'Point', coordinates },
});

/** A wall all round MH-4. */
const pen = {
  type: 'Feature',
  id: 'B-1',
  properties: { kind: 'building' },
  geometry: {
    type: 'LineString',
    coordinates: [
      [-104.9986, 39.9999],
      [-104.9984, 39.9999],
      [-104.9984, 40.0001],
      [-104.9986, 40.0001],
      [-104.9986, 39.9999],
    ],
  },
};

const oneSpill: SourcesOptions = { releaseLitres: 2000, unmappedShare: 0 };
const askLine = (options: SourcesOptions = {}, drainage = line()) =>
  askSources(drainage, [held], { ...oneSpill, ...options });

const worth = ({ bits, minutes }: NextLid) => bits / ((minutes ?? Number.NaN) + OPENING_MINUTES);
const positionOf = ({ map }: Drainage, id: string) =>
  map.structures.find((each) => each.id === id)?.position as Position;

describe('the walk to a lid', () => {
  test('without a place to start from there are no minutes, and bits alone rank', () => {
    const { nextLids, lidPlan, from } = askLine();
    expect(from).toBeNull();
    expect(nextLids.map(({ minutes }) => minutes)).toEqual(EIGHT.map(() => null));
    expect(lidPlan?.minutes).toBeNull();
    expect(nextLids.map(({ bits }) => bits)).toEqual(nextLids.map(({ bits }) => bits).sort((a, b) => b - a));
    expect(nextLids[0].at).toBe('MH-4');
  });

  test('with one, bits per minute of walking and opening rank: the nearer of two good lids comes first', () => {
    const drainage = line();
    const { nextLids, lidPlan, from } = askLine({ from: 'MH-8' }, drainage);
    const plain = askLine({}, drainage).nextLids;
    expect(from).toEqual(positionOf(drainage, 'MH-8'));
    for (const lid of nextLids) {
      const [minutes] = walkingGround(drainage.map).minutesFrom(from as Position, [positionOf(drainage, lid.at)]);
      expect(lid.minutes).toBeCloseTo(minutes, 9);
      expect(lid.bits).toBe(plain.find(({ at }) => at === lid.at)?.bits);
    }
    expect(nextLids.map(worth)).toEqual(nextLids.map(worth).sort((a, b) => b - a));
    // MH-4 tells most, but MH-5 tells nearly as much and lies nearer.
    expect(nextLids[0].at).toBe('MH-5');
    expect(lidPlan?.at).toBe('MH-5');
    // From the other end it is the other way round.
    expect(askLine({ from: 'KIT-1' }, drainage).nextLids[0].at).toBe('MH-3');
  });

  test('one may stand at a kit, a crew post, a structure, in a zone, or anywhere near', () => {
    const drainage = line();
    const start = (from: string | Position) => askLine({ from }, drainage).from;
    expect(start('KIT-1')).toEqual([-105.0004, 40.0001]);
    expect(start('CREW-1')).toEqual([-104.9968, 40.0001]);
    expect(start('SEP-1')).toEqual(positionOf(drainage, 'SEP-1'));
    expect(start('Z1')).toEqual([expect.closeTo(-104.9998, 7), expect.closeTo(40.0102, 7)]);
    expect(start([-105.001, 40.002])).toEqual([-105.001, 40.002]);
  });

  test('a lid that cannot be walked to comes last and is no part of the plan', () => {
    const { nextLids, lidPlan } = askLine({ from: 'MH-8' }, line([pen]));
    expect(nextLids.at(-1)).toMatchObject({ at: 'MH-4', minutes: Infinity });
    expect(nextLids.at(-1)?.bits).toBeGreaterThan(0.7);
    expect(idsIn(lidPlan)).not.toContain('MH-4');
    // Who stands in there with it has no way to any other.
    const inside = askLine({ from: 'MH-4' }, line([pen]));
    expect(inside.nextLids[0]).toMatchObject({ at: 'MH-4', minutes: 0 });
    expect([inside.lidPlan?.at, inside.lidPlan?.ifOil, inside.lidPlan?.ifClean]).toEqual(['MH-4', null, null]);
  });

  test.each([
    ['an id that is not there', 'KIT-9', 'nothing on the map has the id "KIT-9"'],
    ['a pipe', 'P1', '"P1" is on the map, but is no place where one stands'],
    ['latitude and longitude turned round', [40, -80] as Position, 'km from the nearest structure'],
  ])('%s is an error that names --from', (_, from, words) => {
    const drainage = line();
    const { answer, problems } = findSources(drainage, soundFindings(drainage, [held]), { from });
    expect(answer).toBeNull();
    expect(problems).toMatchObject([{ severity: 'error', field: '--from' }]);
    expect(english(problems[0].message)).toContain(words);
  });
});

const idsIn = (plan: LidPlan | null): string[] =>
  plan === null ? [] : [plan.at, ...idsIn(plan.ifOil), ...idsIn(plan.ifClean)];
const depthOf = (plan: LidPlan | null): number =>
  plan === null ? 0 : 1 + Math.max(depthOf(plan.ifOil), depthOf(plan.ifClean));

describe('the next three lids', () => {
  test('of eight equal zones on a line they halve the suspects three times', () => {
    const { lidPlan } = askLine();
    expect(depthOf(lidPlan)).toBe(3);
    expect([lidPlan?.at, lidPlan?.ifOil?.at, lidPlan?.ifClean?.at]).toEqual(['MH-4', 'MH-2', 'MH-6']);
    // After oil at MH-4 and MH-2 only zones 1 and 2 are left, and so on.
    expect([
      lidPlan?.ifOil?.ifOil?.at,
      lidPlan?.ifOil?.ifClean?.at,
      lidPlan?.ifClean?.ifOil?.at,
      lidPlan?.ifClean?.ifClean?.at,
    ]).toEqual(['MH-1', 'MH-3', 'MH-5', 'MH-7']);
    expect(idsIn(lidPlan)).toHaveLength(7);
  });

  test('what is planned after two answers is what is found once both have been seen', () => {
    const zones = Object.fromEntries(EIGHT.map((at) => [`Z${at}`, { oilLitresPerYear: 1 + at }]));
    const drainage = line([], zones);
    const plan = askSources(drainage, [held], oneSpill).lidPlan as LidPlan;
    const look = (at: string, seen: 'oil' | 'clean') => ({ ...held, id: at, at, amount: undefined, seen });
    for (const [first, second] of [
      ['oil', 'oil'],
      ['oil', 'clean'],
      ['clean', 'oil'],
      ['clean', 'clean'],
    ] as const) {
      const after = (first === 'oil' ? plan.ifOil : plan.ifClean) as LidPlan;
      const third = (second === 'oil' ? after.ifOil : after.ifClean) as LidPlan;
      const seen = askSources(drainage, [held, look(plan.at, first), look(after.at, second)], oneSpill);
      const found = seen.nextLids.find(({ at }) => at === third.at) as NextLid;
      expect(Math.abs(found.bits - third.bits)).toBeLessThan(0.12);
      expect(Math.abs(found.chanceOfOil - third.chanceOfOil)).toBeLessThan(0.12);
      expect(seen.nextLids[0].bits).toBeLessThan(third.bits + 0.12);
    }
  });

  test('after each lid the walk goes on from there', () => {
    const drainage = line();
    const { lidPlan } = askLine({ from: 'CREW-1' }, drainage);
    const ground = walkingGround(drainage.map);
    const check = (plan: LidPlan | null, start: Position): number => {
      if (!plan) return 0;
      const here = positionOf(drainage, plan.at);
      expect(plan.minutes).toBeCloseTo(ground.minutesFrom(start, [here])[0], 9);
      return 1 + check(plan.ifOil, here) + check(plan.ifClean, here);
    };
    expect(check(lidPlan, [-104.9968, 40.0001])).toBe(7);
  });

  test('no lid stands twice on one way through the plan', () => {
    const check = (plan: LidPlan | null, before: string[]): void => {
      if (!plan) return;
      expect(before).not.toContain(plan.at);
      check(plan.ifOil, [...before, plan.at]);
      check(plan.ifClean, [...before, plan.at]);
    };
    const { lidPlan } = askLine({ from: 'KIT-1' });
    expect(depthOf(lidPlan)).toBe(3);
    check(lidPlan, []);
  });
});
