import type { Amount } from './finding-format.ts';

/** Litres held, 0 or more, and the factor, 1 or more, within which that is right two times in three. */
export interface Litres {
  litres: number;
  factor: number;
}

/** A stated volume is right within this factor two times in three, where nothing else is said. A guess. */
export const DEFAULT_FACTOR = 1.5;

/**
 * Film thickness by appearance code, µm, which is mL per m² (Bonn Agreement Oil Appearance Code, after A. Lewis 2007,
 * report to the Netherlands North Sea Agency, table 1). Code 5 has no upper end there; 1,000 µm is a guess.
 */
const FILM_UM: Readonly<Record<number, readonly [number, number]>> = {
  1: [0.04, 0.3],
  2: [0.3, 5],
  3: [5, 50],
  4: [50, 200],
  5: [200, 1000],
};
const LITRES_PER_UM_M2 = 1e-3;

/** Engine oil at 15 °C, kg/L: 877 to 885 kg/m³ in the open oil-property records of NOAA and Environment Canada. */
const OIL_KG_PER_LITRE = 0.88;
/** Oil in one soaked sock of the common size, kg, and how rough that is. Guesses: no published figure was found. */
const SOAKED_SOCK_KG = 2;
const SOAKED_SOCK_FACTOR = 2;

/**
 * Least and most oil in a slick, litres: area × share × thickness, added up over the codes.
 * 20 m² that are half of code 1, four tenths of code 2 and a tenth of code 3 are 0.0128 to 0.143 L. Codes are 1 to 5 and shares 0 to 1 of the
 * area; what is left of it counts as bare. Thicknesses are those of Lewis (2007), table 1; codes are given by eye, from the air and
 * over open water there, so that on a pool in a basin the figure is a guess of its size and no more. O(codes).
 */
export function slickLitres(
  appearance: readonly { code: number; share: number }[],
  areaM2: number,
): [least: number, most: number] {
  const add = (end: 0 | 1) =>
    appearance.reduce((sum, { code, share }) => sum + share * areaM2 * FILM_UM[code][end] * LITRES_PER_UM_M2, 0);
  return [add(0), add(1)];
}

/**
 * Litres of an amount. One millimetre on one square metre is one litre. A slick lies in the geometric middle of its
 * code's range, the range being its factor. Socks count by the oil they took up, or, where that was not weighed, by
 * a guess for a full one. O(codes). It throws nothing; 0 litres come back for an amount of nothing.
 *
 * The geometric middle is the median of a log-normal whose one standard deviation either way is the range. A plain mean would be
 * ruled by the thick end, which is four to seventeen times the thin one.
 *
 * @example
 * import { amountOf } from 'oilshed/sources';
 * amountOf({ thicknessMm: 2, areaM2: 3, factor: 1.2 }); // → { litres: 6, factor: 1.2 }
 * // Metallic, 5 to 50 µm, all over 20 m²: 0.1 to 1 L.
 * amountOf({ appearance: [{ code: 3, share: 1 }], areaM2: 20 }); // → { litres: Math.sqrt(0.1), factor: Math.sqrt(10) }
 */
export function amountOf(amount: Amount): Litres {
  if (amount.litres !== undefined) return { litres: amount.litres, factor: amount.factor ?? DEFAULT_FACTOR };
  if (amount.thicknessMm !== undefined)
    return { litres: amount.thicknessMm * amount.areaM2, factor: amount.factor ?? DEFAULT_FACTOR };
  if (amount.appearance !== undefined) {
    const [least, most] = slickLitres(amount.appearance, amount.areaM2);
    return { litres: Math.sqrt(least * most), factor: least > 0 ? Math.sqrt(most / least) : 1 };
  }
  const { socks, kgEach, factor } = amount;
  return {
    litres: (socks * (kgEach ?? SOAKED_SOCK_KG)) / OIL_KG_PER_LITRE,
    factor: factor ?? (kgEach === undefined ? SOAKED_SOCK_FACTOR : DEFAULT_FACTOR),
  };
}
