import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type Conduit, flowAtDepth, uniformFlow, wettedSection } from '../../src/drainage/manning.ts';
import { METRES_PER_FOOT } from '../../src/units/index.ts';

const CUBIC_FOOT_L = METRES_PER_FOOT ** 3 * 1000;
const pipe = (diameterM: number, slope: number, roughness: number): Conduit => ({
  section: { shape: 'round', diameterM },
  slope,
  roughness,
});
const within = (value: number, expected: number, part: number) =>
  expect(Math.abs(value / expected - 1)).toBeLessThanOrEqual(part);

describe('Manning’s formula against published values', () => {
  test('a half-full corrugated drain, 6 ft (Mott, Applied Fluid Mechanics, practice problem 14.12)', () => {
    const { flowLps, velocityMps } = flowAtDepth(pipe(6 * METRES_PER_FOOT, 0.002, 0.024), 3 * METRES_PER_FOOT);
    within(flowLps / CUBIC_FOOT_L, 51.2927, 1e-6);
    within(velocityMps / METRES_PER_FOOT, 3.62821, 2e-6);
  });

  test('an 8-inch pipe running full (civiltoolbox.com, Manning pipe)', () => {
    const diameterM = 0.6667 * METRES_PER_FOOT;
    const { flowLps, velocityMps } = flowAtDepth(pipe(diameterM, 0.005, 0.013), diameterM);
    within(flowLps / CUBIC_FOOT_L, 0.854, 1e-3);
    within(velocityMps / METRES_PER_FOOT, 2.448, 1e-3);
  });

  test('geometry at partial depth (engdatabase.com, circular open-channel geometry)', () => {
    const rows: [number, number, number, number][] = [
      [0.05, 0.014681, 0.451027, 0.43589],
      [0.1, 0.040875, 0.643501, 0.6],
      [0.15, 0.073875, 0.795399, 0.714143],
    ];
    for (const [depth, area, wetted, width] of rows) {
      const at = wettedSection({ shape: 'round', diameterM: 1 }, depth);
      expect(at.areaM2).toBeCloseTo(area, 6);
      expect(at.wettedPerimeterM).toBeCloseTo(wetted, 6);
      expect(at.surfaceM).toBeCloseTo(width, 6);
    }
  });

  test('hydraulic elements of a round pipe, from its exact geometry (the chart: FHWA HDS-3, chart 55)', () => {
    const conduit = pipe(1, 0.01, 0.013);
    const full = flowAtDepth(conduit, 1);
    const rows: [number, number, number][] = [
      [0.1, 0.40116, 0.02088],
      [0.25, 0.70067, 0.13698],
      [0.5, 1, 0.5],
      [0.6, 1.07242, 0.67184],
      [0.75, 1.13347, 0.91188],
      [0.8, 1.13974, 0.97747],
      [0.9, 1.12431, 1.0658],
    ];
    for (const [depth, speed, flow] of rows) {
      const at = flowAtDepth(conduit, depth);
      expect(at.velocityMps / full.velocityMps).toBeCloseTo(speed, 4);
      expect(at.flowLps / full.flowLps).toBeCloseTo(flow, 4);
      // And the way back: the depth that carries this flow.
      expect(uniformFlow(conduit, at.flowLps).depthM).toBeCloseTo(depth, 6);
    }
  });

  test('of two depths the lower; above 1.0757 of full flow the pipe runs full and says so', () => {
    const conduit = pipe(0.3, 0.01, 0.013);
    const full = flowAtDepth(conduit, 0.3);
    const twice = uniformFlow(conduit, 1.05 * full.flowLps);
    expect(twice.isSurcharged).toBe(false);
    expect(twice.depthM / 0.3).toBeGreaterThan(0.82);
    expect(twice.depthM / 0.3).toBeLessThan(0.93818);
    expect(uniformFlow(conduit, 1.0757 * full.flowLps).isSurcharged).toBe(false);
    const over = uniformFlow(conduit, 1.0758 * full.flowLps);
    expect(over).toEqual({ depthM: 0.3, velocityMps: full.velocityMps, isSurcharged: true });
  });

  test('a 200 mm pipe half full (inputs of Mott, example 14.2; answer computed from the formula)', () => {
    const { flowLps, velocityMps } = flowAtDepth(pipe(0.2, 0.001, 0.013), 0.1);
    within(flowLps, 5.1859, 1e-4);
    within(velocityMps, 0.33014, 1e-4);
  });

  test('7,300 ft of open channel, 27 ft² and 28.2 ft, take 0.99 h (TR-55, 1986, example 3-1, reach CD, from memory)', () => {
    // A rectangle with that area and wetted edge: bed b and depth y with b·y = A and b + 2y = P.
    const [area, edge] = [27 * METRES_PER_FOOT ** 2, 28.2 * METRES_PER_FOOT];
    const depth = (edge - Math.sqrt(edge ** 2 - 8 * area)) / 4;
    const conduit: Conduit = {
      section: { shape: 'channel', bedM: area / depth, sideSlope: 0 },
      slope: 0.005,
      roughness: 0.05,
    };
    const hours = (7300 * METRES_PER_FOOT) / flowAtDepth(conduit, depth).velocityMps / 3600;
    expect(Math.abs(hours - 0.99)).toBeLessThan(0.01);
  });
});

describe('the solved depth', () => {
  const size = fc.double({ min: 0.05, max: 3, noNaN: true });
  const slope = fc.double({ min: 0.001, max: 0.5, noNaN: true });

  test('carries the flow it was solved for, from a trickle to nearly full', () => {
    fc.assert(
      fc.property(size, slope, fc.double({ min: -9, max: 0.07, noNaN: true }), (diameterM, fall, log) => {
        const conduit = pipe(diameterM, fall, 0.013);
        const flowLps = flowAtDepth(conduit, diameterM).flowLps * (log > 0 ? 1 + log : 10 ** log);
        const { depthM, velocityMps } = uniformFlow(conduit, flowLps);
        // Near its fullest a pipe's flow hardly changes with depth, so it is the flow that is held, not the depth.
        expect(Math.abs(flowAtDepth(conduit, depthM).flowLps / flowLps - 1)).toBeLessThan(1e-6);
        expect(Math.abs(flowAtDepth(conduit, depthM).velocityMps / velocityMps - 1)).toBeLessThan(1e-6);
      }),
    );
  });

  test('and in open channels of any shape', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0, max: 5, noNaN: true }),
        fc.double({ min: 0.1, max: 8, noNaN: true }),
        slope,
        fc.double({ min: -3, max: 4, noNaN: true }),
        (bedM, sideSlope, fall, log) => {
          const conduit: Conduit = { section: { shape: 'channel', bedM, sideSlope }, slope: fall, roughness: 0.03 };
          const { depthM } = uniformFlow(conduit, 10 ** log);
          expect(Math.abs(flowAtDepth(conduit, depthM).flowLps / 10 ** log - 1)).toBeLessThan(1e-9);
        },
      ),
    );
  });

  test('no flow, no depth', () => {
    expect(uniformFlow(pipe(0.3, 0.01, 0.013), 0)).toEqual({ depthM: 0, velocityMps: 0, isSurcharged: false });
  });
});
