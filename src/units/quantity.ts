import { LITRES_PER_GALLON, METRES_PER_FOOT, MM_PER_INCH } from './sizes.ts';

/** What can be written with a unit, each in the unit that a plain number is in, and the size of every other unit in that one. */
const QUANTITIES = {
  litres: {
    L: 1,
    mL: 0.001,
    m3: 1000,
    gal: LITRES_PER_GALLON,
    qt: LITRES_PER_GALLON / 4,
    'fl oz': LITRES_PER_GALLON / 128,
  },
  metres: { m: 1, cm: 0.01, mm: 0.001, ft: METRES_PER_FOOT, in: MM_PER_INCH / 1000, yd: 3 * METRES_PER_FOOT },
  millimetres: { mm: 1, cm: 10, m: 1000, in: MM_PER_INCH, ft: 12 * MM_PER_INCH },
  'mm/h': { 'mm/h': 1, 'cm/h': 10, 'in/h': MM_PER_INCH },
  minutes: { min: 1, s: 1 / 60, h: 60, d: 1440 },
  'parts of 1': { '%': 0.01 },
} as const satisfies Record<string, Record<string, number>>;

/** The unit of a plain number. */
export type Quantity = keyof typeof QUANTITIES;

/** Longer words for the same, without their plural s. */
const WORDS = new Map(
  Object.entries({
    l: 'L',
    litre: 'L',
    liter: 'L',
    ml: 'mL',
    gallon: 'gal',
    quart: 'qt',
    floz: 'fl oz',
    'm³': 'm3',
    metre: 'm',
    meter: 'm',
    foot: 'ft',
    feet: 'ft',
    "'": 'ft',
    inch: 'in',
    inche: 'in',
    '"': 'in',
    yard: 'yd',
    'mm/hr': 'mm/h',
    'cm/hr': 'cm/h',
    'in/hr': 'in/h',
    second: 's',
    sec: 's',
    minute: 'min',
    hour: 'h',
    hr: 'h',
    day: 'd',
  }),
);

const NUMBER_AND_UNIT = /^\s*([+-]?(?:\d+\.?\d*|\.\d+)(?:e[+-]?\d+)?)\s*(.*?)\s*$/is;

/**
 * The value of a word such as "50gal", "0.5 in" or "2h", in the unit of the quantity; a plain number is in it already. Null where
 * it is no number, or its unit is none of this quantity. US gallons, quarts and fluid ounces.
 *
 * @example
 * import { readQuantity } from 'oilshed/units';
 * readQuantity('20ft', 'metres'); // → 6.096
 */
export function readQuantity(word: string, quantity: Quantity): number | null {
  const [, number, unit] = NUMBER_AND_UNIT.exec(word) ?? [];
  if (number === undefined) return null;
  if (unit === '') return Number(number);
  const sizes: Readonly<Record<string, number>> = QUANTITIES[quantity];
  const written = unit.toLowerCase();
  const names = [written, written.replace(/s$/, '')].flatMap((name) => [name, WORDS.get(name) ?? name]);
  const name = names.find((each) => Object.hasOwn(sizes, each));
  return name === undefined ? null : Number(number) * sizes[name];
}

/** The units that a quantity can be written with, the one of a plain number first. */
export const unitsFor = (quantity: Quantity): string[] => Object.keys(QUANTITIES[quantity]);
