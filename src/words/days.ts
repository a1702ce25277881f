import { DAY_MS, dayIn } from '../site-map/index.ts';

/** A calendar day in words. Days are written YYYY-MM-DD; what follows them in a text is passed over, and what is no day stands as it is. */

const FULL = new Intl.DateTimeFormat('en-GB', { day: 'numeric', month: 'long', year: 'numeric', timeZone: 'UTC' });
const NO_YEAR = new Intl.DateTimeFormat('en-GB', { day: 'numeric', month: 'long', timeZone: 'UTC' });
const MONTHS = ['Jan', 'Feb', 'Mar', 'Apr', 'May', 'June', 'July', 'Aug', 'Sept', 'Oct', 'Nov', 'Dec'];

const said = (format: Intl.DateTimeFormat, day: string) => {
  const ms = Date.parse(`${day.slice(0, 10)}T00:00:00Z`);
  return Number.isNaN(ms) ? day : format.format(ms);
};

/** "30 May 2026". */
export const fullDay = (day: string): string => said(FULL, day);

/** The same of an instant, by the clocks of a time zone. */
export const fullDayOf = (ms: number, timeZone: string): string => fullDay(dayIn(ms, timeZone));

/** "20 February", with the year where it is not that of `today`. */
export const dayWords = (day: string, today: string): string =>
  day.slice(0, 4) === today.slice(0, 4) ? said(NO_YEAR, day) : fullDay(day);

/** "14 Sept 2026", or without its year. */
export function shortDay(day: string, hasYear: boolean): string {
  const [, year, month, date] = /^(\d{4})-(\d\d)-(\d\d)/.exec(day) ?? [];
  const name = MONTHS[Number(month) - 1];
  return name ? `${Number(date)} ${name}${hasYear ? ` ${year}` : ''}` : day;
}

/** Whole days from one instant to a later one: "18 days". */
export const daysApart = (fromMs: number, toMs: number): string =>
  dayCount(Math.max(0, Math.floor((toMs - fromMs) / DAY_MS)));

/** "1 day", "18 days". */
export const dayCount = (count: number): string => `${count} ${count === 1 ? 'day' : 'days'}`;
