import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type GroundPath, groundKeeps, groundTravel } from '../../src/drainage/index.ts';
import { filmMinutes, freeSpreadMinutes } from '../../src/drainage/oil-film.ts';
import { isPaved, overlandMps } from '../../src/drainage/overland.ts';
import { FLUIDS, SURFACES } from '../../src/site-map/index.ts';

const WIDTH_M = 0.5;
const path = (words: Partial<GroundPath> = {}): GroundPath => ({
  metres: 10,
  slope: 0.02,
  surface: 'asphalt',
  flowLps: 0.1,
  fluid: 'diesel',
  isDry: true,
  ...words,
});
const within = (value: number, expected: number, part: number) =>
  expect(Math.abs(value / expected - 1)).toBeLessThanOrEqual(part);

describe('a film on the ground against Nusselt 1916 (closed form)', () => {
  test('v = g·S·h² ÷ (3ν) at 2 %, for five fluids and three depths', () => {
    // m/s at depths of 1, 2.54 and 5 mm, worked out apart from the formula.
    const rows = [
      ['gasoline', 0.08172, 0.5272, 2.043],
      ['diesel', 0.01362, 0.08787, 0.3405],
      ['hydraulic-oil', 0.0003534, 0.00228, 0.008835],
      ['motor-oil', 0.0002179, 0.001406, 0.005448],
      ['gear-oil', 5.943e-5, 0.0003834, 0.001486],
    ] as const;
    for (const [fluid, ...speeds] of rows) {
      speeds.forEach((mps, at) => {
        const flowLps = mps * [1, 2.54, 5][at] * WIDTH_M;
        within(1 / filmMinutes(1, { slope: 0.02, flowLps, fluid }) / 60, mps, 1e-3);
      });
    }
  });

  test('minutes over the ground of three spills, for four oils', () => {
    const spills = [
      { metres: 10, flowLps: 20 / 30 / 60 },
      { metres: 20, flowLps: 60 / 10 / 60 },
      { metres: 20, flowLps: 200 / 2 / 60 },
    ];
    const rows = [
      ['diesel', 8.83, 4.08, 0.63],
      ['hydraulic-oil', 29.8, 13.8, 2.11],
      ['motor-oil', 35.0, 16.2, 2.48],
      ['gear-oil', 54.0, 25.0, 3.83],
    ] as const;
    for (const [fluid, ...minutes] of rows) {
      minutes.forEach((expected, at) => {
        const { metres, flowLps } = spills[at];
        within(filmMinutes(metres, { slope: 0.02, flowLps, fluid }), expected, 0.008);
      });
    }
    // Water takes 0.19 to 0.38 minutes.
    expect(groundTravel(path({ metres: 10 })).minutes).toBeCloseTo(0.19, 2);
    expect(groundTravel(path({ metres: 20 })).minutes).toBeCloseTo(0.38, 2);
  });

  test('a fluid that nobody knows is taken as `other`, of 50 mm²/s', () => {
    const flowLps = 1;
    const depthM = Math.cbrt((3 * 50e-6 * 1e-3) / (WIDTH_M * 9.80665 * 0.02));
    const seconds = 5 / ((9.80665 * 0.02 * depthM ** 2) / (3 * 50e-6));
    within(filmMinutes(5, { slope: 0.02, flowLps, fluid: null }) * 60, seconds, 1e-12);
    expect(groundTravel(path({ fluid: null }))).toEqual(groundTravel(path({ fluid: 'other' })));
  });
});

describe('a film that spreads freely', () => {
  /**
   * Seconds to a place downhill, with the equation of the thin film itself marched down the slope from a narrow stream:
   * S·∂(h³)/∂x = ∂/∂y(h³·∂h/∂y), and the litres on the way ÷ the flow. It knows nothing of Smith's powers.
   */
  const marchedSeconds = (
    metres: number,
    { slope, flowLps, viscosity }: Record<'slope' | 'flowLps' | 'viscosity', number>,
  ) => {
    const [cells, dy] = [120, 0.02];
    const flow = flowLps / 1000;
    let cubes = new Float64Array(cells);
    // Half of the stream: from its middle outwards. ∫h³ dy over all of it is 3νq ÷ (g·S).
    cubes[0] = (3 * viscosity * flow) / (9.80665 * slope) / (2 * dy);
    let [x, volume] = [0, 0];
    while (x < metres) {
      const depths = cubes.map((cube) => Math.cbrt(cube));
      const dx = Math.min(metres - x, (0.3 * slope * dy ** 2) / depths[0]);
      volume += 2 * dy * dx * depths.reduce((sum, depth) => sum + depth, 0);
      const next = cubes.slice();
      for (let at = 0; at < cells - 1; at++) {
        const between = (cubes[at] + cubes[at + 1]) / 2;
        const moves = ((between * (depths[at] - depths[at + 1])) / dy / slope) * (dx / dy);
        next[at] -= moves;
        next[at + 1] += moves;
      }
      cubes = next;
      x += dx;
    }
    return volume / flow;
  };

  test('within 1 % of the film’s own equation (Smith 1973: the powers; the constants follow from keeping all litres)', () => {
    const diesel = { slope: 0.02, flowLps: 20 / 30 / 60, fluid: 'diesel' as const };
    within(freeSpreadMinutes(10, diesel) * 60, marchedSeconds(10, { ...diesel, viscosity: 4.8e-6 }), 0.01);
    const hydraulic = { slope: 0.05, flowLps: 0.1, fluid: 'hydraulic-oil' as const };
    within(freeSpreadMinutes(5, hydraulic) * 60, marchedSeconds(5, { ...hydraulic, viscosity: 185e-6 }), 0.01);
  });

  test('width and time go with distance and flow by Smith’s powers', () => {
    const film = { slope: 0.02, flowLps: 0.1, fluid: 'diesel' as const };
    const minutes = freeSpreadMinutes(10, film);
    within(freeSpreadMinutes(20, film) / minutes, 2 ** (9 / 7), 1e-12);
    within(freeSpreadMinutes(10, { ...film, flowLps: 0.2 }) / minutes, 2 ** (3 / 7 - 1), 1e-12);
  });
});

describe('what the ground keeps first', () => {
  test('the film is on its way while the hollows fill: front and litres agree', () => {
    // 2.54 mm on 0.5 m × 20 m are 25.4 L, 4.23 minutes of 0.1 L/s; hydraulic oil takes 13.8.
    const thick = groundTravel(path({ metres: 20, fluid: 'hydraulic-oil' }));
    expect(thick.keepsLitres).toBeCloseTo(25.4, 12);
    expect(thick.likelyMinutes + 25.4 / 0.1 / 60).toBeCloseTo(
      filmMinutes(20, { slope: 0.02, flowLps: 0.1, fluid: 'hydraulic-oil' }),
      10,
    );
    // Counted on nothing that the ground keeps, it is the film alone.
    expect(thick.filmMinutes).toBeCloseTo(thick.likelyMinutes + 25.4 / 0.1 / 60, 10);
    // Diesel would be through before the ground is full, so only water's time is left when it is.
    const thin = groundTravel(path({ metres: 20 }));
    expect(thin.likelyMinutes).toBe(thin.minutes);
  });

  test('by surface, and nothing in rain, when oil runs with the water', () => {
    expect(groundTravel(path({ surface: 'grass' })).keepsLitres).toBeCloseTo(8.89 * WIDTH_M * 10, 12);
    expect(groundTravel(path({ surface: undefined })).keepsLitres).toBe(groundKeeps('asphalt', 10));
    const wet = groundTravel(path({ isDry: false, fluid: 'gear-oil' }));
    const water = 10 / overlandMps(0.02, true) / 60;
    expect(wet).toEqual({
      minutes: water,
      filmMinutes: water,
      likelyMinutes: water,
      lateMinutes: water,
      keepsLitres: 0,
    });
  });

  test('the late end is that of free spread, or of the stream where that is still narrower than it', () => {
    const far = path({ metres: 20, fluid: 'gear-oil' });
    const film = { slope: 0.02, flowLps: 0.1, fluid: 'gear-oil' as const };
    expect(groundTravel(far).lateMinutes).toBeCloseTo(freeSpreadMinutes(20, film) - 25.4 / 0.1 / 60, 9);
    const steep = { ...film, slope: 0.3 };
    expect(freeSpreadMinutes(0.02, steep)).toBeLessThan(filmMinutes(0.02, steep));
    const near = groundTravel(path({ ...steep, metres: 0.02 }));
    expect(near.likelyMinutes).toBeGreaterThan(near.minutes);
    expect(near.lateMinutes).toBe(near.likelyMinutes);
  });

  test('no way and no flow: no time beyond water’s', () => {
    expect(groundTravel(path({ metres: 0 }))).toEqual({
      minutes: 0,
      filmMinutes: 0,
      likelyMinutes: 0,
      lateMinutes: 0,
      keepsLitres: 0,
    });
    for (const flowLps of [0, 1e-300, 1e-12]) {
      const { minutes, ...still } = groundTravel(path({ flowLps }));
      expect(still).toEqual({ filmMinutes: minutes, likelyMinutes: minutes, lateMinutes: minutes, keepsLitres: 12.7 });
    }
  });

  test('flat ground runs as if it fell by one in a thousand', () => {
    expect(groundTravel(path({ slope: 0, fluid: 'gear-oil' }))).toEqual(
      groundTravel(path({ slope: 0.001, fluid: 'gear-oil' })),
    );
  });
});

test('never faster than water, the late end never before the likely, and more litres are never later', () => {
  const metres = fc.double({ min: 0.01, max: 200, noNaN: true });
  const flow = fc.double({ min: 1e-4, max: 50, noNaN: true });
  fc.assert(
    fc.property(
      fc.record({
        metres,
        slope: fc.double({ min: -0.01, max: 0.3, noNaN: true }),
        surface: fc.constantFrom(...SURFACES, undefined),
        fluid: fc.constantFrom(...FLUIDS, null),
        isDry: fc.boolean(),
      }),
      flow,
      fc.double({ min: 1, max: 100, noNaN: true }),
      (words, flowLps, factor) => {
        const less = groundTravel({ ...words, flowLps });
        const more = groundTravel({ ...words, flowLps: flowLps * factor });
        const front = ({ likelyMinutes, keepsLitres }: typeof less, lps: number) =>
          likelyMinutes + keepsLitres / lps / 60;
        for (const each of [less, more]) {
          expect(each.minutes).toBe(words.metres / overlandMps(words.slope, isPaved(words.surface)) / 60);
          expect(each.likelyMinutes).toBeGreaterThanOrEqual(each.minutes);
          expect(each.filmMinutes).toBeGreaterThanOrEqual(each.likelyMinutes);
          expect(each.lateMinutes).toBeGreaterThanOrEqual(each.likelyMinutes);
        }
        expect(front(more, flowLps * factor)).toBeLessThanOrEqual(front(less, flowLps) * (1 + 1e-12));
      },
    ),
  );
});
