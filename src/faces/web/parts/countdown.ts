import { leftMinutes, ringMinutes, shortMinutes } from '../../../words/index.ts';
import { minutesLeft } from '../state/clock.ts';
import { isClockOn } from '../state/spill.ts';
import { voice } from '../state/voice.ts';

/** Below so many minutes a deadline presses. */
const PRESSING_UNDER = 2;

/** What is left, rounded down: "4 min", "95 s", "now". */
export const timerWords = (minutes: number): string => leftMinutes(minutes, voice.value);

/** Minutes of the answer as they stand now: those that were worked out, or what the clock has left of them. */
export const leftWords = (minutes: number | null): string =>
  minutes === null || !isClockOn.value ? shortMinutes(minutes, voice.value) : timerWords(minutesLeft(minutes));

/** The same as short as the ring on the map: "4", "95s". */
export function ringWords(minutes: number | null): string {
  const left = minutes === null || !isClockOn.value ? minutes : minutesLeft(minutes);
  return ringMinutes(left, isClockOn.value, voice.value);
}

/** Whether a deadline is so near that it may blink. */
export const isPressing = (minutes: number | null): boolean =>
  minutes !== null && isClockOn.value && minutesLeft(minutes) > 0 && minutesLeft(minutes) < PRESSING_UNDER;

/** Whether the clock has gone past these minutes: oil can be there. */
export const isPast = (minutes: number): boolean => isClockOn.value && minutesLeft(minutes) <= 0;
