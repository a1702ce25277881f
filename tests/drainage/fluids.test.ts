import { describe, expect, test } from 'vitest';
import { FLUID_NATURE, floats, isThick } from '../../src/drainage/fluids.ts';

/*
 * The oil records are those of NOAA and Environment Canada (github.com/NOAA-ORR-ERD/noaa-oil-data), at 15 °C.
 */
describe('fluids against open oil-property records', () => {
  const ranges: [keyof typeof FLUID_NATURE, [number, number], [number, number]][] = [
    // Records AD00297, AD02083, EC00567, EC01001, EC01487: 818.7 to 840 kg/m³, 3 to 5 mPa·s, which is 3.6 to 6 mm²/s.
    ['diesel', [818.7, 840], [3.6, 6]],
    // Records AD01776, AD01777, AD01778, AD02153: 723 to 750 kg/m³, 0.8 mm²/s.
    ['gasoline', [723, 750], [0.8, 0.8]],
    // Records AD00697, AD00696: 877 to 885 kg/m³; 175 mPa·s used (198 mm²/s). A 15W-40 (AD02545) extrapolates to 447 mm²/s.
    ['motor-oil', [877, 885], [198, 447]],
    // Record AD00695: 890 kg/m³, 975 mPa·s.
    ['gear-oil', [890, 890], [1095, 1105]],
    // ISO 3448, VG 46 at 40 °C, extrapolated to 185 mm²/s at 15 °C, within 20 %; density from memory.
    ['hydraulic-oil', [870, 870], [148, 222]],
    // Tables of makers for half ethylene glycol, half water at 20 °C: 1,060 to 1,079 kg/m³; 3.6 to 4.2 mPa·s.
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
