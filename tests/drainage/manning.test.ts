import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type Conduit, flowAtDepth, laminarFlow, uniformFlow, wettedSection } from '../../src/drainage/manning.ts';
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

describe('laminar flow', () => {
  const G = 9.80665;
  const flowOf = (conduit: Conduit, depthM: number, velocityMps: number) =>
    velocityMps * wettedSection(conduit.section, depthM).areaM2 * 1000;
  /** g·S·R² ÷ (2ν) at a depth, with ν in m²/s. */
  const formula = ({ section, slope }: Conduit, depthM: number, viscosity: number) => {
    const { areaM2, wettedPerimeterM } = wettedSection(section, depthM);
    return (G * slope * (areaM2 / wettedPerimeterM) ** 2) / (2 * viscosity);
  };

  test('a full pipe, g·S·D² ÷ (32ν) (Poiseuille; 200 mm at 1 %, five fluids, closed form)', () => {
    const rows = [
      [0.8, 153.2],
      [4.8, 25.54],
      [185, 0.6626],
      [300, 0.4086],
      [1100, 0.1114],
    ];
    for (const [viscosity, mps] of rows) {
      const conduit = pipe(0.2, 0.01, 0.013);
      // More than the pipe carries with a surface: it is full.
      const full = laminarFlow(conduit, 2 * flowOf(conduit, 0.2, mps), viscosity);
      expect(full).toMatchObject({ depthM: 0.2, isSurcharged: true });
      within(full.velocityMps, (G * 0.01 * 0.2 ** 2) / (32 * viscosity * 1e-6), 1e-12);
      within(full.velocityMps, mps, 1e-3);
    }
  });

  test('a half full pipe has the velocity of the full one: exact, by symmetry', () => {
    const conduit = pipe(0.3, 0.01, 0.013);
    const mps = (G * 0.01 * 0.3 ** 2) / (32 * 300e-6);
    const half = laminarFlow(conduit, flowOf(conduit, 0.15, mps), 300);
    within(half.velocityMps, mps, 1e-12);
    within(half.depthM, 0.15, 1e-12);
  });

  test('a thin layer: 36/35 of it is exact, ∫h³ ÷ 3 over a parabola, 8/35 of its greatest depth squared', () => {
    const conduit = pipe(0.3, 0.01, 0.013);
    const { depthM, velocityMps } = laminarFlow(conduit, 1e-9, 300);
    expect(depthM / 0.3).toBeLessThan(1e-3);
    within(velocityMps * (36 / 35), ((8 / 35) * G * 0.01 * depthM ** 2) / 300e-6, 1e-3);
  });

  /**
   * Mean of the solution of Δu = −1 in a circle of radius 1 filled to a depth, u = 0 on its wall and no drag on the
   * surface: finite differences with the wall's own distance at its neighbours (Shortley and Weller), by relaxation.
   */
  function solvedMean(depth: number): number {
    const cells = 40;
    const step = depth / cells;
    const columns = Math.ceil(1 / step);
    const surface = depth - 1;
    const at = (row: number, column: number) => row * (columns + 2) + column;
    const u = new Float64Array((cells + 2) * (columns + 2));
    const isIn = (row: number, column: number) => Math.hypot(column * step, surface - row * step) < 1;
    for (let round = 0; round < 1500; round++) {
      for (let row = 0; row <= cells; row++) {
        for (let column = 0; column <= columns && isIn(row, column); column++) {
          const [x, y] = [column * step, surface - row * step];
          const [wide, high] = [Math.sqrt(1 - y * y), Math.sqrt(1 - x * x)];
          const reach = { out: Math.min(step, wide - x), down: Math.min(step, high + y), up: Math.min(step, high - y) };
          const out = reach.out < step ? 0 : u[at(row, column + 1)];
          const inward = column === 0 ? out : u[at(row, column - 1)];
          const inwardReach = column === 0 ? reach.out : step;
          const down = reach.down < step ? 0 : u[at(row + 1, column)];
          // Over the surface the picture is mirrored, so nothing drags there.
          const [up, upReach] =
            row === 0 ? [down, reach.down] : [reach.up < step ? 0 : u[at(row - 1, column)], reach.up];
          const across = 2 / (reach.out + inwardReach);
          const along = 2 / (reach.down + upReach);
          const pull = across * (out / reach.out + inward / inwardReach) + along * (down / reach.down + up / upReach);
          const weight = across * (1 / reach.out + 1 / inwardReach) + along * (1 / reach.down + 1 / upReach);
          u[at(row, column)] += 1.9 * ((1 + pull) / weight - u[at(row, column)]);
        }
      }
    }
    let sum = 0;
    for (let row = 0; row <= cells; row++) {
      for (let column = 0; column <= columns && isIn(row, column); column++) {
        sum += u[at(row, column)] * (row === 0 ? 0.5 : 1) * (column === 0 ? 0.5 : 1);
      }
    }
    return (2 * sum * step * step) / wettedSection({ shape: 'round', diameterM: 2 }, depth).areaM2;
  }

  test('against the solved equation of flow: within 1 % from 0.1 to 0.7 of the height, 7.5 % too fast at 0.9', () => {
    const off = (part: number) => {
      const depth = 2 * part;
      const { areaM2, wettedPerimeterM } = wettedSection({ shape: 'round', diameterM: 2 }, depth);
      return (areaM2 / wettedPerimeterM) ** 2 / 2 / solvedMean(depth) - 1;
    };
    // The grid itself is good for one part in a thousand: half full, where the formula is exact.
    expect(Math.abs(off(0.5))).toBeLessThan(1e-3);
    for (const part of [0.1, 0.3, 0.4, 0.6, 0.7]) expect(Math.abs(off(part))).toBeLessThan(0.0105);
    expect(off(0.9)).toBeGreaterThan(0.07);
    expect(off(0.9)).toBeLessThan(0.08);
  });

  test('carries the flow it was solved for, in pipes and channels, and more in a pipe than when it is full', () => {
    const viscosity = fc.double({ min: 0.5, max: 2000, noNaN: true });
    const part = fc.double({ min: -9, max: 0.12, noNaN: true });
    fc.assert(
      fc.property(fc.double({ min: 0.05, max: 3, noNaN: true }), viscosity, part, (diameterM, nu, log) => {
        const conduit = pipe(diameterM, 0.01, 0.013);
        const flowLps = flowOf(conduit, diameterM, formula(conduit, diameterM, nu * 1e-6)) * 10 ** log;
        const { depthM, velocityMps, isSurcharged } = laminarFlow(conduit, flowLps, nu);
        expect(isSurcharged).toBe(false);
        within(formula(conduit, depthM, nu * 1e-6), velocityMps, 1e-6);
        within(flowOf(conduit, depthM, velocityMps), flowLps, 1e-6);
      }),
    );
    fc.assert(
      fc.property(
        fc.double({ min: 0, max: 5, noNaN: true }),
        fc.double({ min: 0.1, max: 8, noNaN: true }),
        viscosity,
        (bedM, sideSlope, nu) => {
          const conduit: Conduit = { section: { shape: 'channel', bedM, sideSlope }, slope: 0.01, roughness: 0.03 };
          const { depthM, velocityMps } = laminarFlow(conduit, 0.5, nu);
          within(formula(conduit, depthM, nu * 1e-6), velocityMps, 1e-9);
          within(flowOf(conduit, depthM, velocityMps), 0.5, 1e-9);
        },
      ),
    );
  });

  test('a wide bed is 14 % too fast against Nusselt’s film at one flow, a flat V 13 % too slow', () => {
    const conduit = (bedM: number, sideSlope: number): Conduit => ({
      section: { shape: 'channel', bedM, sideSlope },
      slope: 0.01,
      roughness: 0.03,
    });
    const flow = 0.1;
    const film = ((G * 0.01 * (flow / 1000 / 20) ** 2) / (3 * 300e-6)) ** (1 / 3);
    within(laminarFlow(conduit(20, 0), flow, 300).velocityMps / film, 1.5 ** (1 / 3), 2e-3);
    // A V of side slope z, by ∫h³ ÷ 3 over its width: area z·h², flow g·S·z·h⁴ ÷ (6ν).
    const z = 100;
    const depth = ((6 * 300e-6 * (flow / 1000)) / (G * 0.01 * z)) ** (1 / 4);
    within(
      laminarFlow(conduit(0, z), flow, 300).velocityMps / (flow / 1000 / (z * depth ** 2)),
      (1.5 / 2) ** (1 / 2),
      2e-3,
    );
  });
});
