import { instantOf } from '../../../site-map/index.ts';

export const DAY_MS = 24 * 3600 * 1000;

const format = (timeZone: string, options: Intl.DateTimeFormatOptions) =>
  new Intl.DateTimeFormat('en-GB', { timeZone, ...options });

/** The day of an instant, in words: "30 May 2026". */
export const dayWords = (ms: number, timeZone: string): string =>
  format(timeZone, { day: 'numeric', month: 'long', year: 'numeric' }).format(ms);

/** The same for a day that is written YYYY-MM-DD. */
export const writtenDay = (day: string): string => dayWords(instantOf(day, 'UTC') ?? 0, 'UTC');

/** When something happened, in the site's time zone, with the hours that its clock is off UTC: "30 May 2026, 14:05 (UTC−06:00)". A bare date stays one. */
export function whenWords(at: string, timeZone: string): string {
  const ms = instantOf(at, timeZone) ?? 0;
  if (!at.includes('T')) return dayWords(ms, timeZone);
  const { time, offset } = clockAt(ms, timeZone);
  return `${dayWords(ms, timeZone)}, ${time} (${offset})`;
}

/** The same for a table: "30 May 14:05". */
export function shortWhen(at: string, timeZone: string): string {
  const ms = instantOf(at, timeZone) ?? 0;
  const day = format(timeZone, { day: 'numeric', month: 'short' }).format(ms);
  return at.includes('T') ? `${day} ${clockAt(ms, timeZone).time}` : day;
}

function clockAt(ms: number, timeZone: string): { time: string; offset: string } {
  const parts = format(timeZone, {
    hour: '2-digit',
    minute: '2-digit',
    hourCycle: 'h23',
    timeZoneName: 'longOffset',
  }).formatToParts(ms);
  const part = (type: string) => parts.find((each) => each.type === type)?.value ?? '';
  return {
    time: `${part('hour')}:${part('minute')}`,
    offset: part('timeZoneName').replace('GMT', 'UTC').replace('-', '−'),
  };
}

/** Whole days from one instant to a later one, in words: "18 days". */
export function daysWords(fromMs: number, toMs: number): string {
  const days = Math.max(0, Math.floor((toMs - fromMs) / DAY_MS));
  return days === 1 ? '1 day' : `${days} days`;
}

/** The start of a year in a time zone, and of the next, in ms since 1970. */
export const yearBounds = (year: number, timeZone: string): { fromMs: number; toMs: number } => ({
  fromMs: instantOf(`${year}-01-01`, timeZone) ?? 0,
  toMs: instantOf(`${year + 1}-01-01`, timeZone) ?? 0,
});
