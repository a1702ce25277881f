import type { Voice } from '../catalogue/index.ts';

/** Minutes in words, rounded down, so that nobody counts on time that there is not. */
export function saidMinutes(minutes: number, _voice: Voice): string {
  if (minutes <= 0) return 'now';
  if (minutes < 1) return 'within a minute';
  if (minutes < 120) return `in about ${Math.floor(minutes)} min`;
  return `in about ${Math.floor(minutes / 60)} h`;
}

/** The same in a column: "now", "<1 min", "4 min". */
export function shortMinutes(minutes: number | null, _voice: Voice): string {
  if (minutes === null) return '–';
  if (minutes <= 0) return 'now';
  if (minutes < 1) return '<1 min';
  return minutes < 120 ? `${Math.floor(minutes)} min` : `${Math.floor(minutes / 60)} h`;
}

/** How long something takes, rounded up: "3 min". */
export function takesMinutes(minutes: number, _voice: Voice): string {
  return `${Math.ceil(minutes)} min`;
}

/** Below so many minutes what is left is told in seconds while a clock runs. */
const SECONDS_UNDER = 2;

/** What is left, rounded down: "4 min", "95 s", "now". */
export const leftMinutes = (minutes: number, voice: Voice): string =>
  minutes > 0 && minutes < SECONDS_UNDER ? `${Math.floor(minutes * 60)} s` : shortMinutes(minutes, voice);

/** Minutes as short as a ring on the map can hold: "4", "<1", "2h", "now"; while a clock runs, the last ones in seconds: "95s". */
export const ringMinutes = (minutes: number | null, isClockOn: boolean, voice: Voice): string =>
  (minutes !== null && isClockOn ? leftMinutes(minutes, voice) : shortMinutes(minutes, voice))
    .replace(' min', '')
    .replace(' ', '');
