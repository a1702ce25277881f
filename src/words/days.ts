import type { Voice } from '../catalogue/index.ts';
import { DAY_MS, dayIn } from '../site-map/index.ts';

/** A calendar day in words. Days are written YYYY-MM-DD; what follows them in a text is passed over, and what is no day stands as it is. */

/** "May 30, 2026". */
export const fullDay = (day: string, voice: Voice): string => voice.text({ day });

/** The same of an instant, by the clocks of a time zone. */
export const fullDayOf = (ms: number, timeZone: string, voice: Voice): string => fullDay(dayIn(ms, timeZone), voice);

/** "Feb 20", with the year where it is not that of `today`. */
export const dayWords = (day: string, today: string, voice: Voice): string =>
  shortDay(day, day.slice(0, 4) !== today.slice(0, 4), voice);

/** "Sep 14, 2026", or without its year. */
export function shortDay(day: string, hasYear: boolean, voice: Voice): string {
  if (hasYear) return fullDay(day, voice);
  const ms = Date.parse(`${day.slice(0, 10)}T00:00:00Z`);
  return Number.isNaN(ms) ? day : noYear(voice.locale).format(ms);
}

const formats = new Map<string, Intl.DateTimeFormat>();

function noYear(locale: string): Intl.DateTimeFormat {
  const format =
    formats.get(locale) ?? new Intl.DateTimeFormat(locale, { day: 'numeric', month: 'short', timeZone: 'UTC' });
  formats.set(locale, format);
  return format;
}

/** Whole days from one instant to a later one: "18 days". */
export const daysApart = (fromMs: number, toMs: number, voice: Voice): string =>
  dayCount(Math.max(0, Math.floor((toMs - fromMs) / DAY_MS)), voice);

/** "1 day", "18 days". */
export const dayCount = (count: number, voice: Voice): string => voice.say('units.days', { count });
