import type { Voice } from '../../../catalogue/index.ts';
import { dayIn, instantOf } from '../../../site-map/index.ts';

/** The day of an instant by the clocks of a time zone, in words: "May 30, 2026". */
export const dayWords = (ms: number, timeZone: string, voice: Voice): string =>
  voice.text({ day: dayIn(ms, timeZone) });

/** When something happened, in the site's time zone, with the hours that its clock is off UTC: "May 30, 2026, 14:05 (UTC−06:00)". A bare date stays one. */
export function whenWords(at: string, timeZone: string, voice: Voice): string {
  const ms = instantOf(at, timeZone) ?? 0;
  const day = dayWords(ms, timeZone, voice);
  return at.includes('T') ? voice.say('report.when', { day, ...clockAt(ms, timeZone) }) : day;
}

/** The same for a table: "May 30 14:05". */
export function shortWhen(at: string, timeZone: string, { locale }: Voice): string {
  const ms = instantOf(at, timeZone) ?? 0;
  const day = new Intl.DateTimeFormat(locale, { timeZone, day: 'numeric', month: 'short' }).format(ms);
  return at.includes('T') ? `${day} ${clockAt(ms, timeZone).time}` : day;
}

/** The time of day, and what the clock is off UTC: both are written alike in every language. */
function clockAt(ms: number, timeZone: string): { time: string; offset: string } {
  const parts = new Intl.DateTimeFormat('en-GB', {
    timeZone,
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
