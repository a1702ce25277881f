import { describe, expect, test } from 'vitest';
import { compositeRunoffC, DEFAULT_RUNOFF_C, rainForFlow, rationalFlowLps } from '../../src/drainage/index.ts';
import { MM_PER_INCH, SQUARE_METRES_PER_ACRE } from '../../src/units/index.ts';

const LITRES_PER_CUBIC_FOOT = 28.316846592;

describe('runoff', () => {
  test('the area-weighted coefficient of McCuen, Hydrologic Analysis and Design, example 7-11', () => {
    const areas = [0.2, 0.4, 0.6].map((runoffC, at) => ({ runoffC, area: [5.3, 7.2, 6.4][at] }));
    expect(compositeRunoffC(areas)).toBeCloseTo(0.412, 3);
    expect(compositeRunoffC([])).toBe(0);
  });

  test('Q = C·i·A has the constants 1.008 (cfs, in/h, acre), 1/360 (m³/s, mm/h, ha) and 1/3.6 (km²)', () => {
    // 1.008: Oregon DOT, Hydraulics Manual, 2014; the metric ones follow from the units.
    const unit = { runoffC: 1 };
    const cfs =
      rationalFlowLps({ ...unit, rainMmPerH: MM_PER_INCH, areaM2: SQUARE_METRES_PER_ACRE }) / LITRES_PER_CUBIC_FOOT;
    expect(cfs).toBeCloseTo(1.00833, 4);
    expect(rationalFlowLps({ ...unit, rainMmPerH: 1, areaM2: 1e4 }) / 1000).toBeCloseTo(0.00277778, 8);
    expect(rationalFlowLps({ ...unit, rainMmPerH: 1, areaM2: 1e6 }) / 1000).toBeCloseTo(0.277778, 6);
  });

  test('the flows of FHWA HEC-22 (3rd ed., 2009), example 3-3, before and after development', () => {
    const flow = (runoffC: number, rainMmPerH: number) =>
      rationalFlowLps({ runoffC, rainMmPerH, areaM2: 175_500 }) / 1000;
    expect(Math.abs(flow(0.235, 48) / 0.55 - 1)).toBeLessThan(0.01);
    expect(Math.abs(flow(0.315, 58) / 0.89 - 1)).toBeLessThan(0.01);
  });

  test('the rain for a flow is the inverse of the flow of a rain', () => {
    const areaM2 = 12_000;
    const flowLps = rationalFlowLps({ runoffC: 0.8, rainMmPerH: 17, areaM2 });
    expect(rainForFlow({ runoffC: 0.8, flowLps, areaM2 })).toBeCloseTo(17, 12);
  });

  test('default coefficients lie within the published ranges', () => {
    // ASCE table, also HEC-22 table 3-1 (University of Illinois, TSM 352); roofs from memory. Gravel: City of Everett,
    // Washington, storm sewer standard, table 1, 1979.
    const ranges = {
      asphalt: [0.7, 0.95],
      concrete: [0.8, 0.95],
      gravel: [0.75, 0.8],
      roof: [0.75, 0.95],
      grass: [0.05, 0.35],
      soil: [0.2, 0.6],
    };
    for (const [surface, [low, high]] of Object.entries(ranges)) {
      const value = DEFAULT_RUNOFF_C[surface as keyof typeof ranges];
      expect(value, surface).toBeGreaterThanOrEqual(low);
      expect(value, surface).toBeLessThanOrEqual(high);
    }
  });
});
