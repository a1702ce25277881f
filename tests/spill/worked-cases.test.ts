import { describe, expect, test } from 'vitest';
import { beginningOf } from '../../src/algorithms/index.ts';
import { compileDrainage, type Drainage } from '../../src/drainage/index.ts';
import { hasErrors, readSiteMap } from '../../src/site-map/index.ts';
import { findSpill, type PlacedControl, poseSpill, type SpillPlace, spillModel } from '../../src/spill/index.ts';

/** Cases worked out by hand, and again by 4,000 parcels in a queue of events, which shares nothing with the curves. */

const LON = -100;
const LAT = 40;
const line = (from: number, to: number) => ({
  type: 'LineString',
  coordinates: [
    [LON + from, LAT],
    [LON + to, LAT],
  ],
});
const lid = (id: string, kind: string, place: readonly [number, number], words: object = {}) => ({
  type: 'Feature',
  id,
  geometry: { type: 'Point', coordinates: [LON + place[0], LAT + place[1]] },
  properties: { kind, ...words },
});
const pipe = (id: string, from: string, to: string, lengthM: number) => ({
  type: 'Feature',
  id,
  geometry: line(0, 0.0007),
  properties: { kind: 'pipe', from, to, lengthM, diameterMm: 300, slope: 0.01 },
});
/** A yard 30.5 m by 20 m, whose middle lies 14.75 m west of its grate at its eastern edge. */
const zone = (drainsTo: unknown) => ({
  type: 'Feature',
  id: 'Z',
  geometry: {
    type: 'Polygon',
    coordinates: [
      [
        [-100.000351313, 39.999909938],
        [-99.999994145, 39.999909938],
        [-99.999994145, 40.000090062],
        [-100.000351313, 40.000090062],
        [-100.000351313, 39.999909938],
      ],
    ],
  },
  properties: { kind: 'zone', activity: 'storage', surface: 'asphalt', slope: 0.02, drainsTo },
});
const CB = [0, 0] as const;
const MID = [0.000702627, 0] as const;
const END = [0.002342089, 0] as const;

function drained(features: readonly object[]): Drainage {
  const site = { format: 'oilshed-site', version: 1, units: 'si' };
  const { map, problems } = readSiteMap(JSON.stringify({ type: 'FeatureCollection', site, features }));
  if (hasErrors(problems)) throw new Error(JSON.stringify(problems));
  return compileDrainage(map);
}
const question = (place: SpillPlace) => ({ place, litres: 60, overMinutes: 10, fluid: 'diesel' as const });
const AT_GRATE: SpillPlace = { point: [LON, LAT] };

/** 60 L of diesel over ten minutes, straight into the grate CB: what gets where, and when. */
function arrivalsOf(features: readonly object[]) {
  const { answer } = findSpill(drained([zone('CB'), ...features]), question(AT_GRATE));
  return new Map(answer?.arrivals.map(({ id, litres, likely }) => [id, { litres, likely }]));
}
function expectArrival(
  found: ReturnType<typeof arrivalsOf>,
  id: string,
  [litres, first, half, last]: readonly [number, number, number, number],
) {
  const { litres: came = Number.NaN, likely = null } = found.get(id) ?? {};
  expect(Math.abs(came - litres)).toBeLessThan(0.01);
  expect(Math.abs((likely?.first ?? Number.NaN) - first)).toBeLessThan(0.01);
  expect(Math.abs((likely?.half ?? Number.NaN) - half)).toBeLessThan(0.01);
  expect(Math.abs((likely?.last ?? Number.NaN) - last)).toBeLessThan(0.01);
}

describe('60 L of diesel over ten minutes', () => {
  test('along a chain: 60 m and 140 m of pipe, where Manning’s 0.2198 m/s is the slower', () => {
    const found = arrivalsOf([
      lid('CB', 'catch-basin', CB, { holds: 0 }),
      lid('MH', 'manhole', MID),
      lid('OUT', 'outfall', END, { receives: 'stream' }),
      pipe('P1', 'CB', 'MH', 60),
      pipe('P2', 'MH', 'OUT', 140),
    ]);
    // 4.549 and 10.615 min; half five minutes after the first, 99 % after 9.9.
    expectArrival(found, 'MH', [60, 4.5492, 9.5492, 14.4492]);
    expectArrival(found, 'OUT', [60, 15.164, 20.164, 25.064]);
  });

  test('through an insert that fills, and a basin that holds a tenth', () => {
    const found = arrivalsOf([
      lid('CB', 'catch-basin', CB, { holds: 0.1, insert: { holds: 0.6, litres: 8 } }),
      lid('OUT', 'outfall', END, { receives: 'stream' }),
      pipe('P1', 'CB', 'OUT', 60),
    ]);
    // 0.6 until 8 L are in it, at 13.33 L: 52 L enter, 46.8 leave. Half of 52 is 5.333 + (6 t − 13.333).
    expectArrival(found, 'CB', [52, 0, 5.6667, 9.9133]);
    expectArrival(found, 'OUT', [46.8, 4.5492, 10.2159, 14.4625]);
  });

  test('through a well: nothing until 30 L stand in it, then 30 L a minute', () => {
    const found = arrivalsOf([
      lid('CB', 'catch-basin', CB, { holds: 0 }),
      lid('LS', 'manhole', MID, { pumped: { lps: 0.5, startLitres: 30 } }),
      lid('OUT', 'outfall', END, { receives: 'stream' }),
      pipe('P1', 'CB', 'LS', 60),
      pipe('P2', 'LS', 'OUT', 60),
    ]);
    expectArrival(found, 'LS', [60, 4.5492, 9.5492, 14.4492]);
    // Five minutes after the first at 6 L a minute; the pump takes half of 60 in one minute more.
    expectArrival(found, 'OUT', [60, 14.0984, 15.0984, 18.9984]);
  });

  test('a cover at 2.4444 min and a sock a minute later at its own grate: 15.360 L pass', () => {
    const drainage = drained([
      zone('CB'),
      lid('CB', 'trench-drain', CB, { holds: 0 }),
      lid('OUT', 'outfall', END, { receives: 'stream' }),
      pipe('P1', 'CB', 'OUT', 60),
    ]);
    const { posed } = poseSpill(drainage, question(AT_GRATE));
    if (!posed) throw new Error('no spill');
    const model = spillModel(drainage, posed);
    const cover = (minutes: number): PlacedControl => ({
      control: 'cover',
      at: 'CB',
      minutes,
      holds: 0.95,
      litres: Number.POSITIVE_INFINITY,
    });
    const sock = (minutes: number): PlacedControl => ({ control: 'sock', at: 'CB', minutes, holds: 0.8, litres: 40 });
    // 6 × 2.4444 + 0.05 × 6 + 0.05 × 0.2 × 39.333.
    expect(model.run([cover(2.4444), sock(3.4444)]).toWater).toBeCloseTo(15.36, 3);
    expect(model.run([sock(2.4444), cover(3.4444)]).toWater).toBeCloseTo(16.26, 3);
    expect(model.run([cover(2.4444)]).toWater).toBeCloseTo(16.933, 3);
  });
});

describe('60 L of diesel from the middle of a yard with two grates, dry', () => {
  const drainage = drained([
    zone([
      { to: 'CB', share: 0.6 },
      { to: 'CB2', share: 0.4 },
    ]),
    lid('CB', 'catch-basin', CB, { holds: 0 }),
    lid('CB2', 'catch-basin', [0, 0.000360248], { holds: 0 }),
    lid('OUT', 'outfall', END, { receives: 'stream' }),
    pipe('P1', 'CB', 'OUT', 60),
    pipe('P2', 'CB2', 'OUT', 70),
  ]);
  const model = () => {
    const { posed } = poseSpill(drainage, question({ zone: 'Z' }));
    if (!posed) throw new Error('no spill');
    return spillModel(drainage, posed);
  };

  test('counting on nothing that the ground keeps, it is at the grates by its film: 4.23 and 16.0 min', () => {
    const run = model().run([], { countsGround: false });
    expect(beginningOf(run.curveAt('CB'))).toBeCloseTo(4.23, 2);
    expect(Math.abs(beginningOf(run.curveAt('CB2')) - 16)).toBeLessThan(0.05);
    expect(run.toWater).toBeCloseTo(60, 9);
  });

  test('counting on it, 17.27 L pass, all by the nearer grate, and no sooner', () => {
    const run = model().run([]);
    expect(run.toWater).toBeCloseTo(17.27, 1);
    expect(run.enteredAt('CB2')).toBe(0);
    expect(beginningOf(run.curveAt('CB'))).toBeGreaterThan(4.23);
    expect(run.litres().onGround).toBeCloseTo(42.733, 1);
  });
});
