import { describe, expect, test } from 'vitest';
import { flowIndexOf } from '../../src/drainage/index.ts';
import { flowAtDepth } from '../../src/drainage/manning.ts';
import { carryWater, drainedAreas, peakFlows } from '../../src/drainage/water.ts';
import { METRES_PER_FOOT, MM_PER_INCH, SQUARE_METRES_PER_ACRE } from '../../src/units/index.ts';
import { yard } from '../support/yard.ts';

const CUBIC_FOOT_L = METRES_PER_FOOT ** 3 * 1000;

/**
 * Nine storm sewers designed by the rational method (V. M. Ponce, Engineering Hydrology, table 4-2). For each: upper and
 * lower end, length ft, area added ac, slope %, diameter in, then as published: area ac, mean C, minutes to the
 * upper end, minutes in it, flow cfs, full flow cfs, full speed ft/s, speed ft/s, depth in.
 */
const SEWERS: [string, string, ...number[]][] = [
  ['1-6', '1-5', 400, 2.64, 0.85, 12, 2.64, 0.3, 20, 1.4, 2.93, 3.3, 4, 4.6, 9],
  ['1-5', '1-4', 400, 3.61, 0.75, 18, 6.25, 0.3, 21.4, 1.2, 6.75, 9.2, 5.1, 5.6, 11],
  ['1-4', '1-3', 400, 3.88, 0.45, 24, 10.13, 0.42, 22.6, 1.2, 14.5, 15.2, 4.8, 5.6, 18],
  ['3-2', '3-1', 400, 5.55, 1, 15, 5.55, 0.3, 20, 1.1, 6.16, 6.4, 5.1, 5.9, 12],
  ['3-1', '1-3', 400, 6.43, 0.6, 24, 11.98, 0.3, 21.1, 1.1, 12.92, 17.5, 5.5, 6.1, 15],
  ['1-3', '1-2', 400, 3.92, 0.3, 36, 26.03, 0.39, 23.8, 1.1, 33.6, 37, 5.1, 5.9, 26],
  ['2-1', '1-2', 400, 2.52, 0.9, 12, 2.52, 0.3, 20, 1.4, 2.8, 3.2, 4.1, 4.7, 9],
  ['1-2', '1-1', 400, 3.86, 0.24, 42, 32.41, 0.41, 24.9, 1.1, 42.5, 50, 5.2, 5.9, 29],
  ['1-1', 'out', 125, 5.44, 0.3, 42, 37.85, 0.44, 26, Number.NaN, 53.2, 56, 5.7, 6.6, 33],
];
const id = (node: string) => (node === 'out' ? 'OUT' : `MH-${node}`);

/** The network with each manhole's own area as a zone, its coefficient such that the means come out as published. */
function network() {
  const byStart = new Map(SEWERS.map((row) => [row[0], row]));
  const above = (node: string) => SEWERS.filter((row) => row[1] === node);
  const zones = Object.fromEntries(
    SEWERS.map(([node, , , added, , , total, c]) => {
      const brought = above(node).reduce((sum, row) => sum + row[6] * row[7], 0);
      const runoffC = (total * c - brought) / added;
      return [`Z-${node}`, { areaM2: added * SQUARE_METRES_PER_ACRE, runoffC, drainsTo: id(node) }];
    }),
  );
  const structures = Object.fromEntries([
    ...SEWERS.map(([node]) => [id(node), { kind: 'manhole' }]),
    ['OUT', { kind: 'outfall' }],
  ]);
  const links = Object.fromEntries(
    SEWERS.map(([from, to, length, , slope, diameter]) => [
      `P-${from}`,
      {
        from: id(from),
        to: id(to),
        lengthM: length * METRES_PER_FOOT,
        slope: slope / 100,
        diameterMm: diameter * MM_PER_INCH,
        roughness: 0.013,
      },
    ]),
  );
  return { drainage: yard({ zones, structures, links }), byStart };
}

/** Rain by duration, in/h, as the table has it for each sewer's time. */
const RAIN: [number, number][] = [
  [20, 3.7],
  [21.4, 3.6],
  [22.6, 3.4],
  [23.8, 3.3],
  [24.9, 3.2],
  [26, 3.2],
];
const rainAt = (minutes: number) =>
  RAIN.reduce((best, row) => (Math.abs(row[0] - minutes) < Math.abs(best[0] - minutes) ? row : best))[1] * MM_PER_INCH;

describe('nine sewers by the rational method (Ponce, Engineering Hydrology, table 4-2)', () => {
  const { drainage } = network();
  // The heads of branches take 20 minutes; what joins along the trunk takes no longer than the branch.
  const { links } = peakFlows(drainage, rainAt, () => 20);
  const flows = new Map(
    drainage.linkAt.flatMap((link, edge) => (link ? [[link.id, { ...links[edge], link }] as const] : [])),
  );

  test.each(SEWERS)('%s to %s', (from, _to, ...numbers) => {
    const [length, , slope, diameter, area, c, upper, inside, cfs, fullCfs, fullFps, fps, depthIn] = numbers;
    const found = flows.get(`P-${from}`);
    if (!found) throw new Error('nothing flows here');
    expect((found.areaM2 as number) / SQUARE_METRES_PER_ACRE).toBeCloseTo(area, 6);
    expect(found.runoffC).toBeCloseTo(c, 6);
    expect(Math.abs((found.upperEndMinutes as number) - upper)).toBeLessThan(0.11);
    if (!Number.isNaN(inside)) expect(Math.abs((found.minutes as number) - inside)).toBeLessThan(0.1);
    // US manuals drop the factor 1.008 of the exact conversion.
    expect(Math.abs((found.flowLps as number) / CUBIC_FOOT_L / 1.00833 / cfs - 1)).toBeLessThan(0.005);
    const diameterM = diameter * MM_PER_INCH * 1e-3;
    const full = flowAtDepth(
      { section: { shape: 'round', diameterM }, slope: slope / 100, roughness: 0.013 },
      diameterM,
    );
    expect(Math.abs(full.flowLps / CUBIC_FOOT_L / fullCfs - 1)).toBeLessThan(0.06);
    expect(Math.abs(full.velocityMps / METRES_PER_FOOT / fullFps - 1)).toBeLessThan(0.06);
    expect(Math.abs((found.velocityMps as number) / METRES_PER_FOOT / fps - 1)).toBeLessThan(0.05);
    expect(Math.abs(((found.depthM as number) * 1000) / MM_PER_INCH - depthIn)).toBeLessThan(1.5);
    expect(found.minutes).toBeCloseTo((length * METRES_PER_FOOT) / (found.velocityMps as number) / 60, 9);
  });

  test('travel time from the head of the trunk to the outfall is the sum over its sewers, 6.42 min', () => {
    const trunk = ['1-6', '1-5', '1-4', '1-3', '1-2', '1-1'];
    const minutes = trunk.reduce((sum, sewer) => sum + (flows.get(`P-${sewer}`)?.minutes ?? Number.NaN), 0);
    expect(Math.abs(minutes - 6.42)).toBeLessThan(0.2);
  });
});

describe('carrying water', () => {
  test('areas add along branches and divide as the shares do', () => {
    const drainage = yard({
      zones: {
        Z1: { areaM2: 1000, runoffC: 0.5, drainsTo: 'MH-1' },
        Z2: { areaM2: 600, covered: true, drainsTo: 'MH-2' },
      },
      structures: {
        'MH-1': { kind: 'manhole' },
        'MH-2': { kind: 'manhole' },
        OUT: { kind: 'outfall' },
      },
      links: {
        P1: { from: 'MH-1', to: 'MH-2', share: 0.25 },
        P2: { from: 'MH-1', to: 'OUT' },
        P3: { from: 'MH-2', to: 'OUT' },
      },
    });
    const at = (id: string) => flowIndexOf(drainage, id);
    const { areaM2, runoffM2 } = drainedAreas(drainage);
    expect(areaM2[at('MH-2')]).toBeCloseTo(850, 9);
    expect(areaM2[at('OUT')]).toBeCloseTo(1600, 9);
    // No rain falls under a roof.
    expect(runoffM2[at('OUT')]).toBeCloseTo(500, 9);
  });

  test('a loop that lets half out each time round carries twice what comes in', () => {
    const drainage = yard({
      structures: { 'MH-1': { kind: 'manhole' }, 'MH-2': { kind: 'manhole' }, OUT: { kind: 'outfall' } },
      links: {
        P1: { from: 'MH-1', to: 'MH-2' },
        P2: { from: 'MH-2', to: 'MH-1', share: 0.5 },
        P3: { from: 'MH-2', to: 'OUT', share: 0.5 },
      },
    });
    const at = (id: string) => flowIndexOf(drainage, id);
    const comesIn = new Float64Array(drainage.order.nodeCount);
    comesIn[at('MH-1')] = 3;
    const entered = carryWater(drainage, comesIn);
    expect(entered[at('MH-1')]).toBeCloseTo(6, 6);
    expect(entered[at('OUT')]).toBeCloseTo(3, 6);
  });
});
