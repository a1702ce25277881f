import * as Calendar from 'temporal-polyfill/fns/Calendar';
import * as PlainDate from 'temporal-polyfill/fns/PlainDate';
import * as PlainDateTime from 'temporal-polyfill/fns/PlainDateTime';

/** Dates and times as ISO 8601 writes them, by the clocks of a time zone. All of it knows when clocks change. */

export const DAY_MS = 24 * 3600 * 1000;
/** A year of 365.25 days. */
export const YEAR_MS = 365.25 * DAY_MS;

export function isTimeZone(name: string): boolean {
  try {
    return Boolean(new Intl.DateTimeFormat('en-US', { timeZone: name }));
  } catch {
    return false;
  }
}

const WRITTEN = /^(\d{4})-(\d{2})-(\d{2})(?:T(\d{2}):(\d{2})(?::(\d{2})(?:\.\d+)?)?(Z|[+-]\d{2}:?\d{2})?)?$/;

/**
 * The instant, in ms since 1970, that an ISO 8601 date or date-time names; undefined where it names none.
 * A bare date is midnight in the site's time zone, and so is a time without an offset a time there. A time that the clocks
 * skip is as much later as they skip; of one that comes twice it is the first (RFC 5545, section 3.3.5).
 */
export function instantOf(text: string, timeZone: string): number | undefined {
  const match = WRITTEN.exec(text);
  if (!match) return undefined;
  const [year, month, day, hour, minute, second] = match.slice(1, 7).map((part) => Number(part ?? 0));
  const local = Date.UTC(year, month - 1, day, hour, minute, second);
  const written = new Date(local);
  if (written.getUTCMonth() !== month - 1 || written.getUTCDate() !== day || hour > 23 || minute > 59 || second > 60) {
    return undefined;
  }
  const offset = match[7];
  if (offset === 'Z') return local;
  if (offset !== undefined) {
    const [hours, minutes] = [Number(offset.slice(1, 3)), Number(offset.slice(-2))];
    return local - (offset[0] === '-' ? -1 : 1) * (hours * 60 + minutes) * 60_000;
  }
  const there = PlainDateTime.toZonedDateTime(PlainDateTime.create(year, month, day, hour, minute), timeZone);
  return there.epochMilliseconds + second * 1000;
}

/** A time with the zone's own offset, to the second: "2026-05-30T14:05:00-06:00". Without a zone that is known, UTC. */
export function isoTime(ms: number, timeZone = 'UTC'): string {
  const format = new Intl.DateTimeFormat('en-US', {
    timeZone: isTimeZone(timeZone) ? timeZone : 'UTC',
    hourCycle: 'h23',
    year: 'numeric',
    month: '2-digit',
    day: '2-digit',
    hour: '2-digit',
    minute: '2-digit',
    second: '2-digit',
    timeZoneName: 'longOffset',
  });
  const part = Object.fromEntries(format.formatToParts(ms).map(({ type, value }) => [type, value]));
  const offset = /[+-]\d\d:\d\d/.exec(part.timeZoneName)?.[0] ?? '+00:00';
  return `${part.year}-${part.month}-${part.day}T${part.hour}:${part.minute}:${part.second}${offset}`;
}

/** The calendar day, YYYY-MM-DD, of an instant in a time zone; in UTC where the zone is not known. */
export const dayIn = (ms: number, timeZone: string): string => isoTime(ms, timeZone).slice(0, 10);

/**
 * The calendar day, YYYY-MM-DD, so many whole days after another, whatever the clocks do in between.
 * Throws a RangeError for a day that is none.
 */
export const addDays = (day: string, count: number): string =>
  PlainDate.toString(PlainDate.addDays(PlainDate.fromString(day, Calendar.getISO), Math.floor(count)));

/** Whole days from one calendar day to another, both beginning with YYYY-MM-DD; below 0 once it is over, NaN for what is no day. */
export const daysBetween = (from: string, to: string): number => (midnight(to) - midnight(from)) / DAY_MS;
const midnight = (day: string) => Date.parse(`${day.slice(0, 10)}T00:00:00Z`);
