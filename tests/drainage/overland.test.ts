import { describe, expect, test } from 'vitest';
import { overlandMps, sheetFlowMinutes } from '../../src/drainage/overland.ts';
import { METRES_PER_FOOT, MM_PER_INCH } from '../../src/units/index.ts';

describe('flow over the ground against published values', () => {
  test('sheet flow: 0.09 h (USDA NRCS, National Engineering Handbook 630, chapter 15, example of equation 15-8)', () => {
    const minutes = sheetFlowMinutes({
      roughness: 0.15,
      lengthM: 100 * METRES_PER_FOOT,
      slope: 0.08,
      rain2yMm: 3.6 * MM_PER_INCH,
    });
    expect(Math.abs(minutes / 60 - 0.09)).toBeLessThan(0.005);
  });

  test('sheet flow: 28.8 min (McCuen, Hydrologic Analysis and Design, example 3-12)', () => {
    const minutes = sheetFlowMinutes({
      roughness: 0.15,
      lengthM: 120 * METRES_PER_FOOT,
      slope: 0.002,
      rain2yMm: 3.12 * MM_PER_INCH,
    });
    expect(Math.abs(minutes - 28.8)).toBeLessThan(0.1);
  });

  test('shallow concentrated flow: 20.328 and 16.135 ft/s (National Engineering Handbook 630, table 15-3; TR-55)', () => {
    expect(overlandMps(1, true) / METRES_PER_FOOT / 20.328).toBeCloseTo(1, 3);
    expect(overlandMps(1, false) / METRES_PER_FOOT / 16.135).toBeCloseTo(1, 3);
    expect(overlandMps(0.01, true)).toBeCloseTo(0.6196, 4);
  });

  test('flat ground runs as if it fell by one in a thousand', () => {
    expect(overlandMps(0, true)).toBe(overlandMps(0.001, true));
    expect(overlandMps(-0.2, true)).toBe(overlandMps(0.001, true));
  });
});
