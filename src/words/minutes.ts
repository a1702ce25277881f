import type { Voice } from '../catalogue/index.ts';

/** Minutes in words are rounded down, so that nobody counts on time that there is not. */

/** From so many minutes on, time is told in hours. */
const HOURS_FROM = 120;
/** Below so many minutes what is left is told in seconds while a clock runs. */
const SECONDS_UNDER = 2;

/** When something is at a place, for messages that choose by `when` and write `amount`. */
export function whenOf(minutes: number): { when: 'now' | 'soon' | 'hours' | 'minutes'; amount: number } {
  if (minutes <= 0) return { when: 'now', amount: 0 };
  if (minutes < 1) return { when: 'soon', amount: 1 };
  return minutes < HOURS_FROM
    ? { when: 'minutes', amount: Math.floor(minutes) }
    : { when: 'hours', amount: Math.floor(minutes / 60) };
}

/** Minutes in a column: "now", "<1 min", "4 min". */
export function shortMinutes(minutes: number | null, voice: Voice): string {
  if (minutes === null) return voice.say('minutes.none');
  const { when, amount: count } = whenOf(minutes);
  if (when === 'now') return voice.say('minutes.now');
  return when === 'soon' ? voice.say('minutes.under') : voice.say(`minutes.${when}`, { count });
}

/** How long something takes, rounded up: 3. */
export const wholeMinutes = (minutes: number): number => Math.ceil(minutes);

/** The same in words: "3 min". */
export const takesMinutes = (minutes: number, voice: Voice): string =>
  voice.say('minutes.minutes', { count: wholeMinutes(minutes) });

/** What is left while a clock runs: "4 min", "95 s", "now". */
export const leftMinutes = (minutes: number, voice: Voice): string =>
  isInSeconds(minutes) ? voice.say('minutes.seconds', { count: secondsIn(minutes) }) : shortMinutes(minutes, voice);

/** Minutes as short as a ring on the map can hold: "4", "<1", "2h", "now"; while a clock runs, the last ones in seconds: "95s". */
export function ringMinutes(minutes: number | null, isClockOn: boolean, voice: Voice): string {
  if (minutes === null) return voice.say('minutes.none');
  if (isClockOn && isInSeconds(minutes)) return voice.say('minutes.ring-seconds', { count: secondsIn(minutes) });
  const { when, amount: count } = whenOf(minutes);
  if (when === 'now') return voice.say('minutes.now');
  return when === 'soon' ? voice.say('minutes.ring-under') : voice.say(`minutes.ring-${when}`, { count });
}

const isInSeconds = (minutes: number) => minutes > 0 && minutes < SECONDS_UNDER;
const secondsIn = (minutes: number) => Math.floor(minutes * 60);
