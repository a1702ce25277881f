import type { Fluid } from '../site-map/index.ts';

/** What a fluid is like at about 15 °C: kg/m³, mm²/s, and whether it mixes with water. */
interface FluidNature {
  densityKgPerM3: number;
  viscosityMm2PerS: number;
  mixes: boolean;
}

/**
 * Diesel, gasoline, engine oil, gear oil and coolant: middle of what the open oil-property records of NOAA and Environment
 * Canada say; hydraulic oil for ISO VG 46 (ISO 3448), viscosity by the Walther law, density from memory; cooking oil from
 * memory. `other` is a guess between diesel and engine oil.
 */
export const FLUID_NATURE: Readonly<Record<Fluid, FluidNature>> = {
  gasoline: { densityKgPerM3: 735, viscosityMm2PerS: 0.8, mixes: false },
  diesel: { densityKgPerM3: 830, viscosityMm2PerS: 4.8, mixes: false },
  'motor-oil': { densityKgPerM3: 880, viscosityMm2PerS: 300, mixes: false },
  'hydraulic-oil': { densityKgPerM3: 870, viscosityMm2PerS: 185, mixes: false },
  'gear-oil': { densityKgPerM3: 890, viscosityMm2PerS: 1100, mixes: false },
  coolant: { densityKgPerM3: 1070, viscosityMm2PerS: 3.9, mixes: true },
  'cooking-oil': { densityKgPerM3: 920, viscosityMm2PerS: 90, mixes: false },
  other: { densityKgPerM3: 860, viscosityMm2PerS: 50, mixes: false },
};

const WATER_KG_PER_M3 = 999;

/**
 * Whether a fluid lies on the water: lighter than it, and not mixing with it. At 15 °C; none of these fluids comes near
 * enough to the density of water for another temperature to matter.
 *
 * @example
 * import { floats } from 'oilshed/drainage';
 * [floats('diesel'), floats('coolant')]; // → [true, false]
 */
export function floats(fluid: Fluid): boolean {
  const { densityKgPerM3, mixes } = FLUID_NATURE[fluid];
  return !mixes && densityKgPerM3 < WATER_KG_PER_M3;
}

/** Twenty times water's viscosity, some 1 mm²/s. A guess. */
const THICK_MM2_PER_S = 20;

/**
 * Whether a fluid runs clearly slower than water at 15 °C, as oils do and fuels do not. In the cold all oils are thicker.
 *
 * @example
 * import { isThick } from 'oilshed/drainage';
 * [isThick('gear-oil'), isThick('gasoline')]; // → [true, false]
 */
export const isThick = (fluid: Fluid): boolean => FLUID_NATURE[fluid].viscosityMm2PerS > THICK_MM2_PER_S;
