/** The slider goes from 0 to 100 and tells amounts from 1 to 5,000, each step by the same factor. */
const STEPS = 100;
const MOST = 5_000;

/** The amount at a place of the slider, to two digits that say something. */
export function amountAt(place: number): number {
  const amount = MOST ** (place / STEPS);
  const digit = 10 ** Math.max(0, Math.floor(Math.log10(amount)) - 1);
  return Math.round(amount / digit) * digit;
}

/** The place on the slider of an amount; those beyond an end stand at the end. */
export const sliderValue = (amount: number): number =>
  Math.min(STEPS, Math.max(0, Math.round((Math.log(amount) / Math.log(MOST)) * STEPS)));
