import ical, { ICalAlarmType, type ICalEventData } from 'ical-generator';
import type { Voice } from '../../catalogue/index.ts';
import { compileDrainage, type Drainage } from '../../drainage/index.ts';
import { type DueVisit, dueVisits, dueWork, type SealedEntry } from '../../log-book/index.ts';
import { DAY_MS, instantOf, type SiteMap } from '../../site-map/index.ts';
import { sha256 } from '../../store/index.ts';
import { contractorWords, upkeepSentences } from '../../words/index.ts';

/**
 * A site's calendar (RFC 5545): corrective work that is not closed and, with a map, separators that are due a visit. A
 * bare date is a whole day, a time without an offset one at the site by the map, else UTC; the same work has the same UID
 * each time, whatever its language. O(entries).
 */
export function calendarText(
  site: string,
  entries: readonly SealedEntry[],
  map: SiteMap | undefined,
  voice: Voice,
): string {
  const drainage = map && compileDrainage(map);
  const calendar = ical({
    name: voice.say('calendar.name', { site }),
    prodId: { company: 'Oilshed', product: 'log book' },
  });
  const times = (due: string) => timesOf(due, drainage?.map.site.timeZone ?? 'UTC');
  for (const { id, due, note, received } of dueWork(entries)) {
    const summary = note === '' ? voice.say('calendar.corrective-due') : note;
    calendar.createEvent({ id: `${id}@oilshed`, stamp: new Date(received), ...times(due), summary, location: site });
  }
  if (!drainage) return wholeText(calendar);
  const stamp = new Date(entries[entries.length - 1].received);
  for (const visit of dueVisits(entries, drainage).visits) {
    const event = calendar.createEvent({
      id: `visit-${sha256(Buffer.from(`${site}\n${visit.id}`)).slice(0, 32)}@oilshed`,
      stamp,
      ...times(visit.due),
      ...visitWords(visit, drainage, voice),
      location: site,
    });
    event.createAlarm({ type: ICalAlarmType.display, triggerBefore: DAY_MS / 1000 });
  }
  return wholeText(calendar);
}

/** RFC 5545 wants at least one component, and every line ended. */
const NOTHING_DUE = [
  'BEGIN:VTIMEZONE',
  'TZID:UTC',
  'BEGIN:STANDARD',
  'DTSTART:19700101T000000',
  'TZOFFSETFROM:+0000',
  'TZOFFSETTO:+0000',
  'END:STANDARD',
  'END:VTIMEZONE',
].join('\r\n');

function wholeText(calendar: ReturnType<typeof ical>): string {
  const text = `${calendar.toString().trimEnd()}\r\n`;
  return calendar.length() > 0 ? text : text.replace('END:VCALENDAR', `${NOTHING_DUE}\r\nEND:VCALENDAR`);
}

/** When an event is: a whole day, or a point in time, which has no end (RFC 5545 §3.6.1). */
function timesOf(due: string, timeZone: string): Pick<ICalEventData, 'start' | 'end' | 'allDay' | 'timezone'> {
  if (due.includes('T')) return { start: new Date(instantOf(due, timeZone) ?? 0) };
  const start = instantOf(due, 'UTC') ?? 0;
  return { start: new Date(start), end: new Date(start + DAY_MS), allDay: true, timezone: 'UTC' };
}

function visitWords(visit: DueVisit, { map }: Drainage, voice: Voice): { summary: string; description: string } {
  const { contacts = [] } = map.site;
  const { id } = visit;
  const name = map.structures.find((each) => each.id === id)?.name ?? id;
  const place = name === id ? id : voice.say('calendar.named-place', { name, id });
  const isFull = visit.state === 'pump-out';
  return {
    summary: voice.say(isFull ? 'calendar.pump-out' : 'calendar.visit', { place }),
    description: [...upkeepSentences(visit, place, voice), isFull ? contractorWords(contacts, voice) : '']
      .join(' ')
      .trim(),
  };
}
