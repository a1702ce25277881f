/**
 * What a look said: `clean` or `oil`, or in words how much of it: no sign, a sheen (colours, no thickness), a film (a
 * finger parts it) or a layer (it can be dipped).
 */
export const SEEN = ['clean', 'oil', 'none', 'sheen', 'film', 'layer'] as const;
export type Seen = (typeof SEEN)[number];

/** Whether a value is such a word. */
export const isSeen = (value: unknown): value is Seen => SEEN.some((word) => word === value);

/** What each word says where only clean and oily are told apart. */
const IS_OILY: Readonly<Record<Seen, boolean>> = {
  clean: false,
  oil: true,
  none: false,
  sheen: true,
  film: true,
  layer: true,
};

/**
 * Whether a word says that there was oil. O(1).
 *
 * @example
 * import { saysOil } from 'oilshed/sources';
 * saysOil('sheen'); // → true
 */
export const saysOil = (seen: Seen): boolean => IS_OILY[seen];

/**
 * Whether oil, or a release of it, was found: a word that says so, an amount of any size, an event. Of a finding as it stands in
 * a file, where `seen` is missing beside an amount or event; so an amount of 0 litres counts as found here. O(1).
 *
 * @example
 * import { foundOil } from 'oilshed/sources';
 * foundOil({ seen: 'none' }); // → false
 * foundOil({}); // → true
 */
export const foundOil = ({ seen }: { seen?: Seen }): boolean => seen === undefined || saysOil(seen);
