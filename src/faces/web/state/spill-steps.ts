import type { PlannedControl } from '../../../block/index.ts';
import type { EntryId } from '../../../log-book/index.ts';

/** One thing to do about a spill. */
export type StepOf = Pick<PlannedControl, 'at' | 'control'>;

/** It, and who does it with what of which kit, as the plan told it; left out by whoever does not know. */
export type StepBy = StepOf & Partial<Pick<PlannedControl, 'hand' | 'kit'>>;

/** What somebody said of a step. */
export const STEP_EVENTS = ['placed', 'cannot', 'gone-past', 'taken-back'] as const;
export type StepEvent = (typeof STEP_EVENTS)[number];

/** That somebody said it, when, by the device's clock in ms. */
export interface SpillStepEvent {
  /** UUIDv7 of the spill. */
  spill: EntryId;
  step: StepBy;
  event: StepEvent;
  time: number;
  by: string;
}

/** How a step stands, and since when. */
export interface StepStanding extends StepBy {
  is: Exclude<StepEvent, 'taken-back'>;
  time: number;
}

const keyOf = ({ at, control }: StepOf) => `${control} ${at}`;
export const isSameStep = (a: StepOf, b: StepOf): boolean => keyOf(a) === keyOf(b);

/**
 * How the steps of a spill stand, after all that was said of them on every device, in the order of their times: what was
 * taken back last counts no more; of what was said since, the last counts, and a control that two people call placed is
 * in place since the first of them. It does not matter in which order the events come in. O(events · log(events)).
 */
export function stepsFrom(events: readonly SpillStepEvent[]): StepStanding[] {
  const standing = new Map<string, StepStanding>();
  const order = ({ event, step, by }: SpillStepEvent) => `${event} ${keyOf(step)} ${by} ${step.hand} ${step.kit}`;
  const inTime = [...events].sort((a, b) => a.time - b.time || (order(a) < order(b) ? -1 : 1));
  for (const { step, event, time } of inTime) {
    const key = keyOf(step);
    const before = standing.get(key);
    if (event === 'taken-back') standing.delete(key);
    else if (before?.is !== event) standing.set(key, { ...step, is: event, time });
  }
  return [...standing.values()].sort((a, b) => a.time - b.time || (keyOf(a) < keyOf(b) ? -1 : 1));
}
