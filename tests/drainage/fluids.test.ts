import { describe, expect, test } from 'vitest';
import { FLUID_NATURE, floats, isThick } from '../../src/drainage/fluids.ts';

describe('fluids against open oil-property records (checks V1 to V6)', () => {
  const ranges: [keyof typeof FLUID_NATURE, [number, number], [number, number]][] = [
    // V1, seen: 818.7 to 840 kg/m³, 3 to 5 mPa·s, which is 3.6 to 6 mm²/s.
    ['diesel', [818.7, 840], [3.6, 6]],
    // V2, seen: 723 to 750 kg/m³, 0.8 mm²/s.
    ['gasoline', [723, 750], [0.8, 0.8]],
    // V3: 877 to 885 kg/m³; 175 mPa·s used (198 mm²/s) to 447 mm²/s for a 15W-40 at 15 °C.
    ['motor-oil', [877, 885], [198, 447]],
    // V4, seen: 890 kg/m³, 975 mPa·s.
    ['gear-oil', [890, 890], [1095, 1105]],
    // V5: 185 mm²/s at 15 °C for ISO VG 46, within 20 %; density from memory.
    ['hydraulic-oil', [870, 870], [148, 222]],
    // V6, seen: 1,060 to 1,079 kg/m³; 3.6 to 4.2 mPa·s.
    ['coolant', [1060, 1079], [3.3, 4]],
  ];

  test.each(ranges)('%s', (fluid, [light, heavy], [thin, thick]) => {
    const { densityKgPerM3, viscosityMm2PerS } = FLUID_NATURE[fluid];
    expect(densityKgPerM3).toBeGreaterThanOrEqual(light);
    expect(densityKgPerM3).toBeLessThanOrEqual(heavy);
    expect(viscosityMm2PerS).toBeGreaterThanOrEqual(thin);
    expect(viscosityMm2PerS).toBeLessThanOrEqual(thick);
  });

  test('all float but coolant, which mixes; thin fuels run like water', () => {
    const fluids = Object.keys(FLUID_NATURE) as (keyof typeof FLUID_NATURE)[];
    expect(fluids.filter((fluid) => !floats(fluid))).toEqual(['coolant']);
    expect(fluids.filter((fluid) => !isThick(fluid)).sort()).toEqual(['coolant', 'diesel', 'gasoline']);
  });
});
