const isZone = (timeZone: string): boolean => {
  try {
    return Boolean(new Intl.DateTimeFormat('en-US', { timeZone }));
  } catch {
    return false;
  }
};

/** A time with the site's own offset, to the second: "2026-05-30T14:05:00-06:00". Without a zone that is known, UTC. */
export function isoTime(ms: number, timeZone = 'UTC'): string {
  const format = new Intl.DateTimeFormat('en-US', {
    timeZone: isZone(timeZone) ? timeZone : 'UTC',
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
