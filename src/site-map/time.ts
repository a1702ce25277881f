/** How far the clocks of a time zone are ahead of UTC at an instant, in ms. */
function offsetAt(instant: number, timeZone: string): number {
  const parts = new Intl.DateTimeFormat('en-US', {
    timeZone,
    hourCycle: 'h23',
    year: 'numeric',
    month: 'numeric',
    day: 'numeric',
    hour: 'numeric',
    minute: 'numeric',
    second: 'numeric',
  }).formatToParts(instant);
  const [year, month, day, hour, minute, second] = ['year', 'month', 'day', 'hour', 'minute', 'second'].map((type) =>
    Number(parts.find((part) => part.type === type)?.value),
  );
  return Date.UTC(year, month - 1, day, hour, minute, second) - Math.floor(instant / 1000) * 1000;
}

const WRITTEN = /^(\d{4})-(\d{2})-(\d{2})(?:T(\d{2}):(\d{2})(?::(\d{2})(?:\.\d+)?)?(Z|[+-]\d{2}:?\d{2})?)?$/;

/**
 * The instant, in ms since 1970, that an ISO 8601 date or date-time names; undefined where it names none.
 * A bare date is midnight in the site's time zone, and so is a time without an offset a time there (contract §5).
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
  // The offset depends on the instant it gives; a second look settles the days on which clocks change.
  return local - offsetAt(local - offsetAt(local, timeZone), timeZone);
}
