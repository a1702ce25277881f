import type { Key, Parameters } from './compiled/index.ts';

/**
 * A size with its unit, or a word that hangs on language and site; a voice writes it. Litres, metres, millimetres (of depth), square
 * metres, litres a second, mm of rain an hour, money in the site's currency, `about` money rounded to so many significant digits (1),
 * shares from 0 to 1, days as YYYY-MM-DD, numbers with so many decimals, and lists ("A, B and C"; "A, B or C").
 */
export type Quantity =
  | { readonly litres: number }
  | { readonly metres: number }
  | { readonly millimetres: number }
  | { readonly squareMetres: number }
  | { readonly lps: number }
  | { readonly mmPerHour: number }
  | { readonly money: number }
  | { readonly about: number; readonly digits?: number }
  | { readonly share: number }
  | { readonly day: string }
  | { readonly number: number; readonly digits?: number }
  | { readonly list: readonly Text[] }
  | { readonly choice: readonly Text[] };

/** What may stand in a message for a name in braces. */
export type Text = string | Told | Quantity;

/** A message of the catalogue with what it is about: plain data, said by a voice in its language. */
export interface Told {
  readonly told: Key;
  readonly values?: Readonly<Record<string, Text | number>>;
}

/** What a message takes: nothing, or an object with all its parameters. */
export type ValuesOf<K extends Key> = keyof Parameters[K] extends never ? [] : [values: Parameters[K]];

/**
 * A message that is said later.
 *
 * @example
 * import { told } from 'oilshed/catalogue';
 * told('units.days', { count: 3 }); // → { told: 'units.days', values: { count: 3 } }
 */
export function told<K extends Key>(key: K, ...[values]: ValuesOf<K>): Told {
  return values === undefined ? { told: key } : { told: key, values };
}

/** Whether a value is a message that is said later. */
export const isTold = (value: unknown): value is Told =>
  typeof value === 'object' && value !== null && 'told' in value && typeof value.told === 'string';
