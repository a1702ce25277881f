import ical from 'ical-generator';
import type { DueWork } from '../../log-book/index.ts';
import { instantOf } from '../../site-map/index.ts';

const DAY_MS = 24 * 3600 * 1000;

/** A calendar (RFC 5545) of work that is due: a bare date is a whole day, the same work has the same UID each time. */
export function calendarText(site: string, work: readonly DueWork[]): string {
  const calendar = ical({ name: `${site}: work due`, prodId: { company: 'Oilshed', product: 'log book' } });
  for (const { id, due, note, received } of work) {
    const start = instantOf(due, 'UTC') ?? 0;
    const allDay = !due.includes('T');
    calendar.createEvent({
      id: `${id}@oilshed`,
      stamp: new Date(received),
      start: new Date(start),
      end: new Date(start + (allDay ? DAY_MS : 0)),
      allDay,
      timezone: allDay ? 'UTC' : null,
      summary: note === '' ? 'Corrective work is due' : note,
      location: site,
    });
  }
  return calendar.toString();
}
