/** Shares from which each step of the brown ramp counts; the first is for anything at all. */
export const RAMP_FROM = [0, 0.05, 0.1, 0.2, 0.4] as const;

/** The step, 1 (pale) to 5 (dark), that shades a share from 0 to 1. */
export function rampStep(share: number): number {
  return RAMP_FROM.filter((from) => share >= from).length || 1;
}

/** The hatch, 1 to 4, that a zone shares with those it cannot be told apart from; 0 when it stands alone. */
export function hatchOf(groups: readonly (readonly string[])[], id: string): number {
  const group = groups.findIndex((ids) => ids.includes(id));
  return group < 0 ? 0 : (group % 4) + 1;
}
