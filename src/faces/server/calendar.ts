import ical, { ICalAlarmType, type ICalEventData } from 'ical-generator';
import { compileDrainage, type Drainage } from '../../drainage/index.ts';
import { type DueVisit, dueVisits, dueWork, type SealedEntry, standingEntries } from '../../log-book/index.ts';
import { hasErrors, instantOf, readSiteMap } from '../../site-map/index.ts';
import { entryOf, type LogBook, sha256 } from '../store/index.ts';
import { contractorWords, upkeepSentences } from '../words/upkeep.ts';

const DAY_MS = 24 * 3600 * 1000;

type Book = Pick<LogBook, 'heads' | 'pages' | 'maps'>;

/** What a site's calendar says, with what it depends on: the end of its chain, and whether the file of its map is here. */
interface Told {
  text: string;
  hash: string;
  /** Empty where no entry names a map. */
  mapName: string;
  isMapKept: boolean;
}

/**
 * Gives a site's calendar (RFC 5545): corrective work that is not closed and, where the map that its last `map` entry names
 * is kept here, separators that are due a visit. A bare date is a whole day, a time without an offset one
 * at the site by that map, else UTC; the same work has the same UID each time.
 * O(entries of the site) when something has come, else one look at the heads.
 */
export function calendars(log: Book): (site: string) => Promise<string> {
  const told = new Map<string, Told>();
  return async (site) => {
    const head = (await log.heads()).find((each) => each.site === site);
    const before = told.get(site);
    if (before && before.hash === head?.hash && before.isMapKept === log.maps.has(before.mapName)) return before.text;
    const entries: SealedEntry[] = [];
    for await (const page of log.pages({ site })) entries.push(...page.map(entryOf));
    const mapName = String(standingEntries(entries).findLast(({ kind }) => kind === 'map')?.body.sha256 ?? '');
    const isMapKept = log.maps.has(mapName);
    const text = calendarText(site, entries, isMapKept ? drainageOf(mapName, log.maps) : undefined);
    const last = entries.at(-1);
    // Only sites that there are, so that made-up names fill nothing.
    if (last) told.set(site, { text, hash: last.hash, mapName, isMapKept });
    return text;
  };
}

function calendarText(site: string, entries: readonly SealedEntry[], drainage: Drainage | undefined): string {
  const calendar = ical({ name: `${site}: work due`, prodId: { company: 'Oilshed', product: 'log book' } });
  const times = (due: string) => timesOf(due, drainage?.map.site.timeZone ?? 'UTC');
  for (const { id, due, note, received } of dueWork(entries)) {
    const summary = note === '' ? 'Corrective work is due' : note;
    calendar.createEvent({ id: `${id}@oilshed`, stamp: new Date(received), ...times(due), summary, location: site });
  }
  if (!drainage) return wholeText(calendar);
  const stamp = new Date(entries[entries.length - 1].received);
  for (const visit of dueVisits(entries, drainage).visits) {
    const event = calendar.createEvent({
      id: `visit-${sha256(Buffer.from(`${site}\n${visit.id}`)).slice(0, 32)}@oilshed`,
      stamp,
      ...times(visit.due),
      ...visitWords(visit, drainage),
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

function visitWords(visit: DueVisit, { map }: Drainage): { summary: string; description: string } {
  const { units = 'si', contacts = [] } = map.site;
  const { id } = visit;
  const name = map.structures.find((each) => each.id === id)?.name ?? id;
  const place = name === id ? id : `${name} (${id})`;
  const isFull = visit.state === 'pump-out';
  return {
    summary: isFull ? `Have ${place} pumped out` : `Visit ${place}`,
    description: [...upkeepSentences(visit, place, units), isFull ? contractorWords(contacts) : ''].join(' ').trim(),
  };
}

/** The drainage of a map; undefined where its file cannot be computed. */
function drainageOf(name: string, maps: LogBook['maps']): Drainage | undefined {
  const { map, problems } = readSiteMap(new TextDecoder().decode(maps.read(name) ?? new Uint8Array()));
  return hasErrors(problems) ? undefined : compileDrainage(map);
}
