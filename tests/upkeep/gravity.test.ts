import { describe, expect, test } from 'vitest';
import { lengthNeededM, riseMps, smallestCaughtUm, turbulenceFactor } from '../../src/upkeep/gravity.ts';

const within = (value: number, expected: number, part: number) =>
  expect(Math.abs(value / expected - 1)).toBeLessThanOrEqual(part);

describe('gravity separation against published values', () => {
  test('Stokes’ constants, 0.02414 (Sw − So)/µ ft/min for 150 µm (API Publication 421, 1990, 0.0241 from memory) and 0.003862 for 60 µm', () => {
    const feetPerMinute = (diameter: number) =>
      // One poise is 0.1 Pa·s; densities differ by one.
      (riseMps(diameter, { waterKgPerM3: 2000, oilKgPerM3: 1000, waterPaS: 0.1 }) / 0.3048) * 60;
    within(feetPerMinute(150), 0.02414, 0.005);
    within(feetPerMinute(60), 0.003862, 0.005);
  });

  test('a complete sizing (a worked example after API 421 without an author, scribd.com/document/253847146)', () => {
    const fluids = { waterKgPerM3: 1000, oilKgPerM3: 880, waterPaS: 0.001 };
    const risingMps = riseMps(150, fluids);
    within(risingMps * 3600, 5.3, 0.005);
    const alongMps = 54.86 / 3600;
    within(alongMps / risingMps, 10.36, 0.005);
    within(turbulenceFactor(alongMps / risingMps), 1.53, 0.005);
    within(lengthNeededM({ alongMps, risingMps, depthM: 1.13 }), 17.86, 0.005);
    // And back: a tank of that length, 3.63 m wide and 1.13 m deep, just catches 150 µm at the design flow.
    const flowLps = (224.79 / 3600) * 1000;
    within(smallestCaughtUm({ lengthM: 17.86, widthM: 3.63, depthM: 1.13 }, flowLps, fluids), 150, 0.005);
  });

  test('turbulence factor, table of API Publication 421', () => {
    const table: [number, number][] = [
      [3, 1.28],
      [6, 1.37],
      [10, 1.52],
      [15, 1.64],
      [20, 1.74],
    ];
    for (const [ratio, factor] of table) expect(turbulenceFactor(ratio)).toBeCloseTo(factor, 9);
    expect(turbulenceFactor(10.357)).toBeCloseTo(1.5286, 3);
    expect(turbulenceFactor(1)).toBe(1.28);
    expect(turbulenceFactor(50)).toBe(1.74);
  });

  test('more flow, or less free water, lets larger droplets through', () => {
    const tank = { lengthM: 4.8, widthM: 1.8, depthM: 1.5 };
    expect(smallestCaughtUm(tank, 40)).toBeGreaterThan(smallestCaughtUm(tank, 20));
    expect(smallestCaughtUm({ ...tank, depthM: 0.5 }, 20)).toBeGreaterThan(0);
    expect(smallestCaughtUm(tank, 0)).toBe(0);
    expect(smallestCaughtUm({ ...tank, depthM: 0 }, 20)).toBe(Number.POSITIVE_INFINITY);
  });
});
