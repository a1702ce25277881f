/** Exact conversions between SI, which files and `--json` always use, and US customary units, which a site may ask for. */

import { LITRES_PER_GALLON, METRES_PER_FOOT, MM_PER_INCH, SQUARE_METRES_PER_ACRE } from './sizes.ts';

export { type Quantity, readQuantity, unitsFor } from './quantity.ts';
export { LITRES_PER_GALLON, METRES_PER_FOOT, MM_PER_INCH, SQUARE_METRES_PER_ACRE };

export type Units = 'us' | 'si';

const formats = new Map<number, Intl.NumberFormat>();

/** A number with thousands separators, `digits` decimals, and no unit: the same in every locale and on every machine. */
export function formatNumber(value: number, digits = 0): string {
  let format = formats.get(digits);
  if (!format) {
    format = new Intl.NumberFormat('en-US', { minimumFractionDigits: digits, maximumFractionDigits: digits });
    formats.set(digits, format);
  }
  return format.format(value);
}

function digitsFor(value: number): number {
  const size = Math.abs(value);
  if (size >= 100 || size === 0) return 0;
  return size >= 10 ? 1 : 2;
}

/** An area given in m², written in ft² and acres ("us": acres from one acre up) or m² and hectares ("si": from one hectare up). */
export function formatArea(squareMetres: number, units: Units): string {
  if (units === 'si') {
    return squareMetres >= 10_000 ? `${formatNumber(squareMetres / 10_000, 2)} ha` : `${formatNumber(squareMetres)} m²`;
  }
  return squareMetres >= SQUARE_METRES_PER_ACRE
    ? `${formatNumber(squareMetres / SQUARE_METRES_PER_ACRE, 2)} ac`
    : `${formatNumber(squareMetres / METRES_PER_FOOT ** 2)} ft²`;
}

const FLUID_OUNCES_PER_GALLON = 128;

/** Three significant digits, without noughts that say nothing. */
const tidy = (value: number) =>
  formatNumber(value, digitsFor(value))
    .replace(/(\.\d*?)0+$/, '$1')
    .replace(/\.$/, '');
const small = (value: number) => (value < 0.1 ? '<0.1' : tidy(value));

/** A volume given in litres, written in US gallons or litres with three significant digits, below a tenth in fluid ounces or mL. */
export function formatVolume(litres: number, units: Units): string {
  if (units === 'si') return litres > 0 && litres < 0.1 ? `${small(litres * 1000)} mL` : `${tidy(litres)} L`;
  const gallons = litres / LITRES_PER_GALLON;
  return gallons > 0 && gallons < 0.1 ? `${small(gallons * FLUID_OUNCES_PER_GALLON)} fl oz` : `${tidy(gallons)} gal`;
}

/**
 * Money in the site's own currency: whole units, the currency's code in front ("USD 1,250").
 *
 * @example
 * import { formatMoney } from 'oilshed/units';
 * formatMoney(1250, 'USD'); // → 'USD 1,250'
 */
export function formatMoney(amount: number, currency: string): string {
  return `${currency} ${formatNumber(amount)}`;
}

/**
 * An amount rounded to what it is worth: so many significant digits, 1 to 21. One says all that a guess within ×/÷ 3 can.
 *
 * @example
 * import { worth } from 'oilshed/units';
 * worth(17_240); // → 20000
 * worth(17_240, 2); // → 17000
 */
export const worth = (amount: number, digits = 1): number => Number(amount.toPrecision(digits));

/** A fraction from 0 to 1 as whole percent; "<1 %" and ">99 %" keep a small chance from reading as none, or a large one as certain. */
export function formatShare(fraction: number): string {
  if (fraction > 0 && fraction < 0.005) return '<1 %';
  if (fraction < 1 && fraction >= 0.995) return '>99 %';
  return `${Math.round(fraction * 100)} %`;
}

/** Rain given in mm/h, written in in/h or mm/h. */
export function formatRain(mmPerHour: number, units: Units): string {
  return units === 'si' ? `${formatNumber(mmPerHour, 1)} mm/h` : `${formatNumber(mmPerHour / MM_PER_INCH, 2)} in/h`;
}
