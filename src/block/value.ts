/**
 * What a plan leaves: litres that get into water, into public drains and past the spill's own grates, the oil counted
 * that dry ground might keep, and money, for its controls and for cleaning up.
 */
export interface Outcome {
  litres: Litres;
  money: number;
}

export type Litres = readonly [toWater: number, toPublicDrain: number, pastGrates: number];

/** Litres under which two plans count as alike, for each of the three. */
export type Steps = Litres;

const LEAST_STEP = 0.5;
/** Parts of the release that make a step: into water, into public drains, past the spill's own grates. */
const STEP_SHARES: Litres = [0.02, 0.02, 0.05];

/** The steps in which the litres of a release are compared. */
export function stepsFor(releasedLitres: number): Steps {
  const [water, publicDrain, grates] = STEP_SHARES;
  const step = (share: number) => Math.max(LEAST_STEP, share * releasedLitres);
  return [step(water), step(publicDrain), step(grates)];
}

/** The litres for which somebody is sent at all. */
export const leastStep = (steps: Steps): number => Math.min(...steps);

/** Whole steps in so many litres: a begun one is not counted. What rounding leaves under a whole one counts as whole. */
export const wholeSteps = (litres: number, step: number): number => Math.floor(litres / step + 1e-9);

/** Below 0 where `a` comes first by litres, water before public drains before grates; 0 where they are alike. */
export function compareLitres(a: Litres, b: Litres, steps: Steps): number {
  for (const level of [0, 1, 2] as const) {
    const more = wholeSteps(a[level], steps[level]) - wholeSteps(b[level], steps[level]);
    if (more !== 0) return more;
  }
  return 0;
}

/** Money that differs by less is the same. */
const CENTS = 1e-6;

/** Below 0 where `a` is the better outcome: by litres, then by money. */
export function compareOutcomes(a: Outcome, b: Outcome, steps: Steps): number {
  const byLitres = compareLitres(a.litres, b.litres, steps);
  if (byLitres !== 0) return byLitres;
  return Math.abs(a.money - b.money) < CENTS ? 0 : a.money - b.money;
}
