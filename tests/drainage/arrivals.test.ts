import { describe, expect, test } from 'vitest';
import {
  type ArrivalOptions,
  arrivalTimes,
  bypassIndex,
  type Drainage,
  flowIndexOf,
  groundTravel,
  minutesFromZone,
  type Release,
  releasesFrom,
  structureAt,
  waysInFrom,
} from '../../src/drainage/index.ts';
import { uniformFlow } from '../../src/drainage/manning.ts';
import { overlandMps } from '../../src/drainage/overland.ts';
import { lengthOf } from '../../src/site-map/index.ts';
import { type YardWords, yard } from '../support/yard.ts';

const DRY = { rainMmPerH: 0 };
const arrive = (drainage: Drainage, releases: Release[], options: ArrivalOptions = DRY) => {
  const { minutes, surfaceMinutes, flows, flowLps } = arrivalTimes(drainage, releases, options);
  return {
    at: (id: string) => minutes[flowIndexOf(drainage, id)],
    overGroundAt: (id: string) => surfaceMinutes[flowIndexOf(drainage, id)],
    lpsAt: (id: string) => flowLps[flowIndexOf(drainage, id)],
    along: (id: string) => flows[drainage.linkAt.findIndex((link) => link?.id === id)],
  };
};
const release = (structure: string, minutes = 0, flowLps = 2): Release => ({
  structure,
  minutes,
  filmMinutes: minutes,
  likelyMinutes: minutes,
  keepsLitres: 0,
  flowLps,
});
const pipeMinutes = (metres: number, slope: number, flowLps: number) =>
  metres /
  uniformFlow({ section: { shape: 'round', diameterM: 0.3 }, slope, roughness: 0.013 }, flowLps).velocityMps /
  60;

/** A fork: two thirds of the water go by FAST, the rest by SLOW, and a third way gets none of it. */
const FORK: YardWords = {
  zones: { Z1: { areaM2: 3600, runoffC: 0.5, drainsTo: 'A' }, Z2: { areaM2: 7200, runoffC: 0.25, drainsTo: 'B' } },
  structures: Object.fromEntries(['A', 'B', 'C', 'D', 'E'].map((id) => [id, { kind: 'manhole' }])),
  links: {
    FAST: { from: 'A', to: 'B', lengthM: 30, slope: 0.02, share: 2 / 3 },
    SLOW: { from: 'A', to: 'C', lengthM: 60, slope: 0.005 },
    NONE: { from: 'A', to: 'D', lengthM: 12, slope: 0.02, share: 0 },
    ON: { from: 'B', to: 'C', lengthM: 10, slope: 0.02 },
    OVER: { kind: 'overland', from: 'C', to: 'E', lengthM: 25, slope: 0.01 },
  },
};

describe('arrival times', () => {
  test('each link takes the time of the flow that goes along it, and the quickest way counts', () => {
    const { at, along } = arrive(yard(FORK), [release('A', 3)]);
    expect(at('A')).toBe(3);
    expect(at('B')).toBeCloseTo(3 + pipeMinutes(30, 0.02, 4 / 3), 12);
    const [direct, round] = [
      3 + pipeMinutes(60, 0.005, 2 / 3),
      3 + pipeMinutes(30, 0.02, 4 / 3) + pipeMinutes(10, 0.02, 4 / 3),
    ];
    expect(round).toBeLessThan(direct);
    expect(at('C')).toBeCloseTo(round, 12);
    expect(at('E')).toBeCloseTo(round + 25 / overlandMps(0.01, true) / 60, 12);
    expect(along('SLOW')?.flowLps).toBeCloseTo(2 / 3, 12);
    expect(along('OVER')).toMatchObject({ depthM: 0, isSurcharged: false });
  });

  test('a way that gets none of the water counts with all of it: oil there is not slower than that', () => {
    const { at, along } = arrive(yard(FORK), [release('A'), release('B', 0, 3)]);
    expect(along('NONE')?.flowLps).toBe(5);
    expect(at('D')).toBeCloseTo(pipeMinutes(12, 0.02, 5), 12);
    // In rain, with what runs there where that is more.
    const wet = arrive(yard(FORK), [release('A')], { rainMmPerH: 36 });
    expect(wet.along('NONE')?.flowLps).toBeCloseTo(2 + 18, 12);
  });

  test('rain adds the runoff of all that drains to a place, C·i·A', () => {
    const { lpsAt, along } = arrive(yard(FORK), [release('A')], { rainMmPerH: 36 });
    // 0.5 of 36 mm/h on 3,600 m² are 18 L/s; two thirds of that and the 18 L/s of Z2 come together at B.
    expect(lpsAt('A')).toBeCloseTo(2 + 18, 12);
    expect(lpsAt('B')).toBeCloseTo((2 + 18) * (2 / 3) + 18, 12);
    expect(along('FAST')?.flowLps).toBeCloseTo((2 + 18) * (2 / 3), 12);
    const dry = arrive(yard(FORK), [release('A')]);
    expect([dry.lpsAt('A'), dry.lpsAt('C')]).toEqual([2, 2]);
  });

  test('what is over the ground is told from what comes by pipe', () => {
    const { overGroundAt, at } = arrive(yard(FORK), [release('A', 1)]);
    expect(overGroundAt('A')).toBe(1);
    expect(overGroundAt('B')).toBe(Number.POSITIVE_INFINITY);
    expect(overGroundAt('E')).toBe(at('E'));
    // Oil that is there already by pipe may still come over the ground, later.
    const late = arrive(yard(FORK), [release('A'), release('C', 30)]);
    expect(late.at('C')).toBeLessThan(30);
    expect(late.overGroundAt('C')).toBe(30);
  });

  test('upstream, beside, and where nothing is released, it never is', () => {
    const { at, along } = arrive(yard(FORK), [release('B')]);
    expect([at('A'), at('D')]).toEqual([Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY]);
    expect(along('FAST')).toBeNull();
    const none = arrive(yard(FORK), [release('not there')]);
    expect([none.at('A'), none.at('B'), none.lpsAt('A')]).toEqual([
      Number.POSITIVE_INFINITY,
      Number.POSITIVE_INFINITY,
      0,
    ]);
  });

  test('two releases at one inlet bring their litres together and the earlier time', () => {
    const { at, lpsAt } = arrive(yard(FORK), [release('B', 4, 1), release('B', 2, 1.5)]);
    expect([at('B'), lpsAt('B')]).toEqual([2, 2.5]);
  });
});

describe('past a grate on a grade', () => {
  const words = (setting: string): YardWords => ({
    zones: { Z1: { drainsTo: 'G1' } },
    structures: {
      G1: { kind: 'catch-basin', setting, spillsTo: 'G2' },
      G2: { kind: 'catch-basin' },
      OUT: { kind: 'outfall' },
    },
    links: { P1: { from: 'G1', to: 'OUT', lengthM: 20 } },
  });

  test('oil runs on over the ground where that is asked for', () => {
    const drainage = yard(words('on-grade'));
    const [from, to] = ['G1', 'G2'].map((id) => structureAt(drainage, flowIndexOf(drainage, id)).position);
    // Ground outside every zone is paved and falls by one in fifty.
    const minutes = 1 + lengthOf([from, to]) / overlandMps(0.02, true) / 60;
    const { at, overGroundAt } = arrive(drainage, [release('G1', 1)], { ...DRY, runsOn: true });
    expect(at('G2')).toBeCloseTo(minutes, 12);
    expect(overGroundAt('G2')).toBeCloseTo(minutes, 12);
    expect(arrive(drainage, [release('G1', 1)]).at('G2')).toBe(Number.POSITIVE_INFINITY);
  });

  test('and not past one in a sag, whatever lies beside it', () => {
    const drainage = yard(words('sag'));
    const index = flowIndexOf(drainage, 'G1');
    expect(bypassIndex(drainage, structureAt(drainage, index))).toBeUndefined();
    expect(arrive(drainage, [release('G1')], { ...DRY, runsOn: true }).at('G2')).toBe(Number.POSITIVE_INFINITY);
    const onGrade = yard(words('on-grade'));
    expect(bypassIndex(onGrade, structureAt(onGrade, flowIndexOf(onGrade, 'G1')))).toBe(flowIndexOf(onGrade, 'G2'));
  });
});

describe('from the ground', () => {
  const drainage = yard({
    zones: { Z1: { slope: 0.01, surface: 'grass', drainsTo: [{ to: 'A', share: 0.25 }, { to: 'B' }] } },
    structures: { A: { kind: 'catch-basin' }, B: { kind: 'catch-basin' }, OUT: { kind: 'outfall' } },
    links: { P1: { from: 'A', to: 'OUT', lengthM: 40, slope: 0.01 } },
  });
  const zone = drainage.map.zones[0];

  test('each inlet gets its share, after the way to it over the zone’s own surface', () => {
    const waysIn = waysInFrom(drainage.map, zone);
    expect(waysIn.map(({ to, share }) => [to, share])).toEqual([
      ['A', 0.25],
      ['B', 0.75],
    ]);
    // The zone lies 0.01 degrees north of A, a little over 1.1 km.
    expect(waysIn[0].metres).toBeGreaterThan(1_105);
    expect(waysIn[0].metres).toBeLessThan(1_115);
    const releases = releasesFrom(zone, waysIn, 8);
    expect(releases.map(({ structure, flowLps }) => [structure, flowLps])).toEqual([
      ['A', 2],
      ['B', 6],
    ]);
    releases.forEach(({ minutes }, at) => {
      expect(minutes).toBeCloseTo(waysIn[at].metres / overlandMps(0.01, false) / 60, 12);
    });
    expect(releasesFrom(null, waysIn, 8)[0].minutes).toBeCloseTo(waysIn[0].metres / overlandMps(0.02, true) / 60, 12);
  });

  test('from a point, the way is from there; an inlet that is not on the map is left out', () => {
    const [a, b] = drainage.map.structures.map(({ position }) => position);
    const ways = waysInFrom(drainage.map, zone, a);
    expect(ways[0].metres).toBeCloseTo(0, 6);
    expect(ways[1].metres).toBeCloseTo(lengthOf([a, b]), 3);
    const without = { structures: drainage.map.structures.filter(({ id }) => id !== 'A') };
    expect(waysInFrom(without, zone).map(({ to }) => to)).toEqual(['B']);
  });

  test('to a structure: the ground and then the pipe', () => {
    const minutes = minutesFromZone(drainage, zone, { at: 'OUT', flowLps: 8, ...DRY });
    const [toA] = releasesFrom(zone, waysInFrom(drainage.map, zone), 8);
    expect(minutes).toBeCloseTo(toA.minutes + pipeMinutes(40, 0.01, 2), 12);
    expect(minutesFromZone(drainage, zone, { at: 'B', flowLps: 8, ...DRY })).toBeGreaterThan(0);
  });

  test('the time from a zone that a look back asks for counts no separator, sump or well, and relief pipes as pipes', () => {
    const words = (middle: YardWords['structures'][string], relief: object): YardWords => ({
      zones: { Z1: { drainsTo: 'A' } },
      structures: { A: { kind: 'manhole' }, M: middle, OUT: { kind: 'outfall' } },
      links: {
        P1: { from: 'A', to: 'M', lengthM: 40, share: 0.5 },
        P2: { from: 'A', to: 'OUT', lengthM: 900, ...relief },
        P3: { from: 'M', to: 'OUT', lengthM: 40 },
      },
    });
    const minutes = (yardWords: YardWords, rainMmPerH: number) => {
      const plain = yard(yardWords);
      return minutesFromZone(plain, plain.map.zones[0], { at: 'OUT', flowLps: 1, rainMmPerH });
    };
    const middles: YardWords['structures'][string][] = [
      { kind: 'separator', lengthM: 4, widthM: 2, waterDepthM: 1.5 },
      { kind: 'catch-basin', sumpLitres: 500 },
      { kind: 'manhole', pumped: { lps: 5, startLitres: 500 } },
    ];
    for (const rainMmPerH of [0, 10]) {
      const plain = minutes(words({ kind: 'manhole' }, {}), rainMmPerH);
      for (const middle of middles) expect(minutes(words(middle, { aboveLps: 0.2 }), rainMmPerH)).toBe(plain);
    }
  });

  test('what the ground does is told with each release, by fluid and weather', () => {
    const waysIn = waysInFrom(drainage.map, zone, drainage.map.structures[0].position);
    const dry = releasesFrom(zone, [{ ...waysIn[0], metres: 20 }], 4, { fluid: 'gear-oil' })[0];
    const ground = { metres: 20, slope: 0.01, surface: 'grass' as const, flowLps: 1, fluid: 'gear-oil' as const };
    const { lateMinutes: _, ...times } = groundTravel({ ...ground, isDry: true });
    expect(dry).toEqual({ structure: 'A', flowLps: 1, ...times });
    const wet = releasesFrom(zone, waysIn, 4, { fluid: 'gear-oil', isDry: false })[0];
    expect([wet.likelyMinutes, wet.keepsLitres]).toEqual([wet.minutes, 0]);
    // Nobody said what it is: `other`, dry.
    expect(releasesFrom(zone, waysIn, 4)).toEqual(releasesFrom(zone, waysIn, 4, { fluid: 'other', isDry: true }));
  });
});
