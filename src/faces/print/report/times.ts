import { instantOf } from '../../../site-map/index.ts';
import { fullDayOf } from '../../../words/index.ts';

const format = (timeZone: string, options: Intl.DateTimeFormatOptions) =>
  new Intl.DateTimeFormat('en-GB', { timeZone, ...options });

/** When something happened, in the site's time zone, with the hours that its clock is off UTC: "30 May 2026, 14:05 (UTC−06:00)". A bare date stays one. */
export function whenWords(at: string, timeZone: string): string {
  const ms = instantOf(at, timeZone) ?? 0;
  if (!at.includes('T')) return fullDayOf(ms, timeZone);
  const { time, offset } = clockAt(ms, timeZone);
  return `${fullDayOf(ms, timeZone)}, ${time} (${offset})`;
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

/** The start of a year in a time zone, and of the next, in ms since 1970. */
export const yearBounds = (year: number, timeZone: string): { fromMs: number; toMs: number } => ({
  fromMs: instantOf(`${year}-01-01`, timeZone) ?? 0,
  toMs: instantOf(`${year + 1}-01-01`, timeZone) ?? 0,
});
