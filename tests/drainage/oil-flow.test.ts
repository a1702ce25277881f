import { describe, expect, test } from 'vitest';
import {
  arrivalTimes,
  type Drainage,
  flowIndexOf,
  groundKeeps,
  groundTravel,
  type Release,
} from '../../src/drainage/index.ts';
import { laminarFlow, uniformFlow } from '../../src/drainage/manning.ts';
import type { Fluid } from '../../src/site-map/index.ts';
import { type YardWords, yard } from '../support/yard.ts';

const release = (structure: string, flowLps: number): Release => ({
  structure,
  minutes: 0,
  filmMinutes: 0,
  likelyMinutes: 0,
  keepsLitres: 0,
  flowLps,
});
const edgeOf = (drainage: Drainage, id: string) => drainage.linkAt.findIndex((link) => link?.id === id);
const within = (value: number, expected: number, part: number) =>
  expect(Math.abs(value / expected - 1)).toBeLessThanOrEqual(part);

/** One link between two manholes, and how a spill at its upper end goes along it. */
function along(link: Record<string, unknown>, flowLps: number, fluid: Fluid | null, rainMmPerH = 0) {
  const drainage = yard({
    zones: { Z: { areaM2: 3600, runoffC: 0.5, drainsTo: 'A' } },
    structures: { A: { kind: 'manhole' }, B: { kind: 'manhole' } },
    links: { L: { from: 'A', to: 'B', slope: 0.01, ...link } },
  });
  const flow = arrivalTimes(drainage, [release('A', flowLps)], { rainMmPerH, fluid }).flows[edgeOf(drainage, 'L')];
  if (!flow) throw new Error('no oil gets to L');
  return flow;
}

describe('oil in a dry pipe', () => {
  test('50 m of 300 mm at 1 %: minutes for four oils and three spills, the slower of Manning and laminar flow', () => {
    const spills = [20 / 30 / 60, 60 / 10 / 60, 200 / 2 / 60];
    const rows = [
      ['diesel', 12.8, 3.8, 1.6],
      ['hydraulic-oil', 61.6, 17.7, 3.6],
      ['motor-oil', 75.9, 21.8, 4.5],
      ['gear-oil', 133, 38.4, 8.0],
    ] as const;
    for (const [fluid, ...minutes] of rows) {
      minutes.forEach((expected, at) => {
        const { likelyMinutes } = along({ lengthM: 50, diameterMm: 300 }, spills[at], fluid);
        within(likelyMinutes, expected, 0.015);
      });
    }
  });

  test('0.1 L/s of diesel: Manning’s 0.2198 m/s is slower than 0.2277 m/s, so 60 m take 4.549 min and 140 m 10.615', () => {
    const conduit = { section: { shape: 'round' as const, diameterM: 0.3 }, slope: 0.01, roughness: 0.013 };
    expect(uniformFlow(conduit, 0.1).velocityMps).toBeCloseTo(0.2198, 4);
    expect(laminarFlow(conduit, 0.1, 4.8).velocityMps).toBeCloseTo(0.2277, 3);
    expect(along({ lengthM: 60, diameterMm: 300 }, 0.1, 'diesel').likelyMinutes).toBeCloseTo(4.549, 3);
    expect(along({ lengthM: 140, diameterMm: 300 }, 0.1, 'diesel').likelyMinutes).toBeCloseTo(10.615, 3);
  });

  test('in a large flow Manning’s formula is the limit, whatever the fluid', () => {
    for (const fluid of ['gasoline', 'diesel', 'coolant'] as const) {
      const { minutes, likelyMinutes } = along({ lengthM: 50, diameterMm: 300 }, 30, fluid);
      expect(likelyMinutes).toBe(minutes);
    }
    // Thick oil too, once enough of it runs: here in a pipe of a metre.
    const thick = along({ lengthM: 50, diameterMm: 1000 }, 500, 'hydraulic-oil');
    expect(thick.likelyMinutes).toBe(thick.minutes);
  });

  test('never before the water, later the thicker, and sooner the more of it', () => {
    const at = (fluid: Fluid, lps: number) => along({ lengthM: 50, diameterMm: 300 }, lps, fluid).likelyMinutes;
    const thicker = (['diesel', 'cooking-oil', 'hydraulic-oil', 'motor-oil', 'gear-oil'] as const).map((fluid) =>
      at(fluid, 0.05),
    );
    expect(thicker).toEqual([...thicker].sort((a, b) => a - b));
    const more = [0.001, 0.01, 0.1, 1, 2].map((lps) => at('motor-oil', lps));
    expect(more).toEqual([...more].sort((a, b) => b - a));
    expect(at('diesel', 0.001)).toBeGreaterThanOrEqual(
      along({ lengthM: 50, diameterMm: 300 }, 0.001, 'diesel').minutes,
    );
  });

  test('in rain the water carries it, and nothing is kept on the way', () => {
    for (const kind of ['pipe', 'swale', 'overland']) {
      const { minutes, likelyMinutes, keepsLitres } = along({ kind, lengthM: 50 }, 0.1, 'gear-oil', 5);
      expect([likelyMinutes, keepsLitres]).toEqual([minutes, 0]);
    }
  });

  test('a fluid that nobody named is taken as `other`', () => {
    const pipe = { lengthM: 50, diameterMm: 300 };
    expect(along(pipe, 0.1, null)).toEqual(along(pipe, 0.1, 'other'));
    expect(along(pipe, 0.1, null).likelyMinutes).toBeGreaterThan(along(pipe, 0.1, 'diesel').likelyMinutes);
  });
});

describe('oil in a dry swale and over the ground', () => {
  test('a swale: grass keeps first, then the slower of both in its own section', () => {
    const flow = along({ kind: 'swale', lengthM: 5, bedM: 0.6, sideSlope: 3 }, 0.5, 'gear-oil');
    expect(flow.keepsLitres).toBe(groundKeeps('grass', 5));
    const section = { shape: 'channel' as const, bedM: 0.6, sideSlope: 3 };
    const { velocityMps } = laminarFlow({ section, slope: 0.01, roughness: 0.03 }, 0.5, 1100);
    expect(flow.likelyMinutes + flow.keepsLitres / 0.5 / 60).toBeCloseTo(5 / velocityMps / 60, 10);
    // While its hollows fill, diesel is long through: what is left is the water's time.
    const thin = along({ kind: 'swale', lengthM: 20 }, 0.05, 'diesel');
    expect(thin.likelyMinutes).toBe(thin.minutes);
  });

  test('a link over the ground is paved ground of its own fall', () => {
    const flow = along({ kind: 'overland', lengthM: 20, slope: 0.03 }, 0.4, 'motor-oil');
    const path = { metres: 20, slope: 0.03, surface: 'asphalt' as const, flowLps: 0.4, isDry: true };
    const { minutes, filmMinutes, likelyMinutes, keepsLitres } = groundTravel({ ...path, fluid: 'motor-oil' });
    expect(flow).toMatchObject({ minutes, filmMinutes, likelyMinutes, keepsLitres });
    expect(likelyMinutes).toBeGreaterThan(minutes);
  });
});

/** A structure in the middle of 60 m of pipe. */
const MIDDLE = (middle: YardWords['structures'][string]): YardWords => ({
  zones: { Z: { areaM2: 3600, runoffC: 0.5, drainsTo: 'A' } },
  structures: { A: { kind: 'catch-basin' }, M: middle, OUT: { kind: 'outfall' } },
  links: { P1: { from: 'A', to: 'M', lengthM: 60 }, P2: { from: 'M', to: 'OUT', lengthM: 60 } },
});

describe('what stands in the way takes its time', () => {
  const times = (middle: YardWords['structures'][string], flowLps: number, rainMmPerH = 0) => {
    const drainage = yard(MIDDLE(middle));
    const { minutes, flows, waitMinutes } = arrivalTimes(drainage, [release('A', flowLps)], {
      rainMmPerH,
      fluid: 'diesel',
    });
    const at = (id: string) => minutes[flowIndexOf(drainage, id)];
    return {
      stays: at('OUT') - at('M') - (flows[edgeOf(drainage, 'P2')]?.minutes ?? Number.NaN),
      waits: waitMinutes[flowIndexOf(drainage, 'M')],
    };
  };

  test('the water of a separator: volume ÷ flow, and no time where its size is not known', () => {
    const size = { lengthM: 4, widthM: 1.5, waterDepthM: 1.2 };
    const { stays, waits } = times({ kind: 'separator', ...size }, 2);
    expect(waits).toBeCloseTo(7200 / 2 / 60, 9);
    expect(stays).toBeCloseTo(waits, 9);
    // In rain its runoff flows too: 0.5 of 36 mm/h on 3,600 m² are 18 L/s.
    expect(times({ kind: 'separator', ...size }, 2, 36).waits).toBeCloseTo(7200 / 20 / 60, 9);
    expect(times({ kind: 'separator', lengthM: 4, widthM: 1.5 }, 2)).toEqual({ stays: 0, waits: 0 });
    expect(times({ kind: 'separator' }, 2).waits).toBe(0);
  });

  test('or its chambers, those that state their three sides; its own size stands over them', () => {
    const chambers = [
      { id: 'C1', lengthM: 2, widthM: 1, waterDepthM: 1 },
      { id: 'C2', lengthM: 1, widthM: 1, waterDepthM: 1.5 },
      { id: 'C3', lengthM: 9, widthM: 9 },
    ];
    expect(times({ kind: 'separator', chambers }, 2).waits).toBeCloseTo(3500 / 2 / 60, 9);
    const own = { kind: 'separator', lengthM: 1, widthM: 1, waterDepthM: 1, chambers };
    expect(times(own, 2).waits).toBeCloseTo(1000 / 2 / 60, 9);
  });

  test('a sump fills first when dry, and stands full in rain; the wait is not the separator’s', () => {
    const { stays, waits } = times({ kind: 'catch-basin', sumpLitres: 120 }, 0.5);
    expect(stays).toBeCloseTo(120 / 0.5 / 60, 9);
    expect(waits).toBe(0);
    expect(times({ kind: 'catch-basin', sumpLitres: 120 }, 0.5, 5).stays).toBeCloseTo(0, 9);
    expect(times({ kind: 'catch-basin', sumpLitres: 0 }, 0.5).stays).toBeCloseTo(0, 9);
  });

  test('a well fills to where its pump starts, in any weather (500 L at 0.1, 1, 2.5 and 4 L/s: 5000, 500, 200, 125 s)', () => {
    const well = { kind: 'manhole', pumped: { lps: 5, startLitres: 500 } };
    for (const [lps, seconds] of [
      [0.1, 5000],
      [1, 500],
      [2.5, 200],
      [4, 125],
    ]) {
      expect(times(well, lps).stays * 60).toBeCloseTo(seconds, 6);
      expect(times(well, lps).waits).toBe(0);
    }
    expect(times(well, 2, 36).stays * 60).toBeCloseTo(500 / 20, 6);
    expect(times({ kind: 'manhole', pumped: { lps: 5 } }, 1).stays).toBeCloseTo(0, 9);
  });

  test('below a well the pump’s L/s count, where they are more: it empties faster than it fills', () => {
    const drainage = yard({
      structures: {
        A: { kind: 'manhole', pumped: { lps: 5, startLitres: 600 } },
        B: { kind: 'catch-basin', sumpLitres: 300 },
        OUT: { kind: 'outfall' },
      },
      links: {
        P1: { from: 'A', to: 'B', lengthM: 60, slope: 0.01, diameterMm: 300 },
        P2: { from: 'B', to: 'OUT', lengthM: 60, slope: 0.01, diameterMm: 300 },
      },
    });
    const { minutes, flows, flowLps } = arrivalTimes(drainage, [release('A', 0.5)], { rainMmPerH: 0, fluid: 'diesel' });
    const pipe =
      60 /
      uniformFlow({ section: { shape: 'round', diameterM: 0.3 }, slope: 0.01, roughness: 0.013 }, 5).velocityMps /
      60;
    expect(minutes[flowIndexOf(drainage, 'B')]).toBeCloseTo(600 / 0.5 / 60 + pipe, 9);
    expect(minutes[flowIndexOf(drainage, 'OUT')]).toBeCloseTo(600 / 0.5 / 60 + pipe + 300 / 5 / 60 + pipe, 9);
    // What it likely takes is that of the spill’s own flow.
    expect(flowLps[flowIndexOf(drainage, 'OUT')]).toBe(0.5);
    expect(flows[edgeOf(drainage, 'P2')]?.flowLps).toBe(0.5);
    expect(flows[edgeOf(drainage, 'P2')]?.likelyMinutes).toBeGreaterThan(pipe);
  });
});

test('a well that nothing comes to never starts, so it hurries nothing below it', () => {
  const words: YardWords = {
    zones: { Z: { areaM2: 3600, runoffC: 0.5, drainsTo: 'W' } },
    structures: {
      A: { kind: 'catch-basin' },
      W: { kind: 'manhole', pumped: { lps: 50, startLitres: 600 } },
      S: { kind: 'separator', lengthM: 3, widthM: 1, waterDepthM: 1 },
      OUT: { kind: 'outfall' },
    },
    links: {
      P1: { from: 'A', to: 'S', lengthM: 10 },
      P2: { from: 'W', to: 'S', lengthM: 10 },
      P3: { from: 'S', to: 'OUT', lengthM: 10 },
    },
  };
  const through = (rainMmPerH: number) => {
    const drainage = yard(words);
    const { minutes, flows } = arrivalTimes(drainage, [release('A', 2)], { rainMmPerH });
    const along = flows[edgeOf(drainage, 'P3')]?.minutes ?? Number.NaN;
    return minutes[flowIndexOf(drainage, 'OUT')] - minutes[flowIndexOf(drainage, 'S')] - along;
  };
  expect(through(0)).toBeCloseTo(3000 / 2 / 60, 9);
  // In rain 18 L/s come to it, and it gives 50.
  expect(through(36)).toBeCloseTo(3000 / 52 / 60, 9);
});

test('a pump’s burst divides below it as the water does', () => {
  const drainage = yard({
    structures: {
      A: { kind: 'manhole', pumped: { lps: 5, startLitres: 600 } },
      B: { kind: 'manhole' },
      C: { kind: 'catch-basin', sumpLitres: 300 },
      D: { kind: 'catch-basin', sumpLitres: 300 },
      OUT: { kind: 'outfall' },
    },
    links: {
      P1: { from: 'A', to: 'B', lengthM: 10 },
      P2: { from: 'B', to: 'C', lengthM: 10, share: 0.2 },
      P3: { from: 'B', to: 'D', lengthM: 10, share: 0.8 },
      P4: { from: 'C', to: 'OUT', lengthM: 10 },
      P5: { from: 'D', to: 'OUT', lengthM: 10 },
    },
  });
  const { minutes, flows } = arrivalTimes(drainage, [release('A', 0.5)], { rainMmPerH: 0 });
  const leaves = (id: string, lps: number, link: string) =>
    minutes[flowIndexOf(drainage, id)] + 300 / lps / 60 + (flows[edgeOf(drainage, link)]?.minutes ?? 0);
  expect(leaves('C', 1, 'P4')).toBeGreaterThan(leaves('D', 4, 'P5'));
  expect(minutes[flowIndexOf(drainage, 'OUT')]).toBeCloseTo(leaves('D', 4, 'P5'), 9);
});

test('a hundred-million-millionth part of the water is none of it, and makes no nonsense', () => {
  const drainage = yard({
    structures: { A: { kind: 'manhole' }, B: { kind: 'manhole' }, C: { kind: 'manhole' } },
    links: { P1: { from: 'A', to: 'B', lengthM: 60, share: 1e-300 }, P2: { from: 'A', to: 'C', lengthM: 60 } },
  });
  const { minutes } = arrivalTimes(drainage, [release('A', 0.5)], { rainMmPerH: 0, fluid: 'gear-oil' });
  expect(minutes[flowIndexOf(drainage, 'B')]).toBe(minutes[flowIndexOf(drainage, 'C')]);
});
