import { describe, expect, test } from 'vitest';
import { ACTIVITIES } from '../../src/site-map/index.ts';
import { expectedLitresPerYear, loadOf, RELATIVE_LOAD } from '../../src/sources/index.ts';
import { yardMap } from '../support/yard.ts';

describe('yields', () => {
  test('parking carries 15.3 mg/L of oil and grease (Stenstrom et al. 1984), of which the floating part is counted', () => {
    const [runoffMm, floatShare, kgPerLitre] = [630, 0.15, 0.89];
    const milligramsPerM2 = (loadOf('parking') / floatShare) * kgPerLitre * 1e6;
    expect(milligramsPerM2 / runoffMm).toBeCloseTo(15.3, 9);
  });

  test('the shares of Stenstrom et al. 1984 are consistent with each other, and our ranking with them', () => {
    const [areaShare, cutOfSources, cutOfTotal] = [0.096, 0.9, 0.53];
    const loadShare = cutOfTotal / cutOfSources;
    expect(loadShare).toBeCloseTo(0.589, 3);
    const perArea = loadShare / areaShare / ((1 - loadShare) / (1 - areaShare));
    expect(Math.abs(perArea / 13.5 - 1)).toBeLessThan(0.03);
    // The rest of a town is roofs, gardens and quiet streets: parking's 13.5th part lies among ours for these.
    const rest = 1 / perArea;
    expect(RELATIVE_LOAD.landscape).toBeLessThan(rest);
    expect(RELATIVE_LOAD.roof).toBeLessThan(rest);
    expect(RELATIVE_LOAD.roadway).toBeGreaterThan(rest);
  });

  test('fuelling over parking over streets (Schueler and Shepp 1993, from memory, a ranking only)', () => {
    expect(RELATIVE_LOAD.fueling).toBeGreaterThan(RELATIVE_LOAD.parking);
    expect(RELATIVE_LOAD.parking).toBeGreaterThan(RELATIVE_LOAD.roadway);
  });

  test('every activity has a yield, and a zone’s own figure wins over area × yield × weight', () => {
    for (const activity of ACTIVITIES) expect(loadOf(activity)).toBeGreaterThan(0);
    const { zones } = yardMap({
      zones: {
        Z1: { areaM2: 200, weight: 3, drainsTo: 'A' },
        Z2: { areaM2: 200, weight: 3, oilLitresPerYear: 7, drainsTo: 'A' },
      },
      structures: { A: { kind: 'manhole' } },
    });
    expect(expectedLitresPerYear(zones[0])).toBeCloseTo(600 * loadOf('parking'), 12);
    expect(expectedLitresPerYear(zones[1])).toBe(7);
  });
});
