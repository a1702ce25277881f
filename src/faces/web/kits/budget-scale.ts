/** The slider goes from 0 to 100; its steps grow with the amount, since small sums buy most. */
const STEPS = 100;
const BEND = 3;

/** The budget at a place of the slider, to two digits that say something; at its end all that every measure costs. */
export function budgetAt(place: number, total: number): number {
  const amount = total * (place / STEPS) ** BEND;
  return place >= STEPS ? total : Number(amount.toPrecision(2));
}

/** The place on the slider of a budget, 0 to 100; more than everything costs stands at the end. */
export const sliderOfBudget = (amount: number, total: number): number =>
  total > 0 ? Math.min(STEPS, STEPS * (amount / total) ** (1 / BEND)) : 0;
