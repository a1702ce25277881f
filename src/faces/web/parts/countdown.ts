import { shortMinutes } from '../../../words/index.ts';
import { minutesLeft } from '../state/clock.ts';
import { isClockOn } from '../state/spill.ts';

/** Below so many minutes what is left is told in seconds. */
const SECONDS_UNDER = 2;

/** What is left, rounded down: "4 min", "95 s", "now". */
export function timerWords(minutes: number): string {
  return minutes > 0 && minutes < SECONDS_UNDER ? `${Math.floor(minutes * 60)} s` : shortMinutes(minutes);
}

/** Minutes of the answer as they stand now: those that were worked out, or what the clock has left of them. */
export const leftWords = (minutes: number | null): string =>
  minutes === null || !isClockOn.value ? shortMinutes(minutes) : timerWords(minutesLeft(minutes));

/** Whether a deadline is so near that it may blink. */
export const isPressing = (minutes: number | null): boolean =>
  minutes !== null && isClockOn.value && minutesLeft(minutes) > 0 && minutesLeft(minutes) < SECONDS_UNDER;

/** Whether the clock has gone past these minutes: oil can be there. */
export const isPast = (minutes: number): boolean => isClockOn.value && minutesLeft(minutes) <= 0;
