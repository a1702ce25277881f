import type { Drainage } from '../drainage/index.ts';
import { instantOf, type Problem } from '../site-map/index.ts';
import { readFindings } from '../sources/index.ts';
import { findUpkeep, type SeparatorUpkeep } from '../upkeep/index.ts';
import type { Entry } from './entry.ts';
import { emptiedOf, findingsFileOf } from './standing.ts';

/** A separator with the day on which it is to be visited next. */
export interface DueVisit extends SeparatorUpkeep {
  /** YYYY-MM-DD in the site's time zone. */
  due: string;
}

const DAY_MS = 24 * 3600 * 1000;

/**
 * The day on which each separator is to be visited next, the soonest first: so many days after its last reading or pump-out,
 * or after `unreadFrom` where nobody read it. O(separators).
 */
export function visitsDue(
  separators: readonly SeparatorUpkeep[],
  { unreadFrom, timeZone = 'UTC' }: { unreadFrom: string; timeZone?: string },
): DueVisit[] {
  return separators
    .map((separator) => {
      const from = instantOf(separator.emptiedAt ?? separator.readAt ?? unreadFrom, timeZone) ?? 0;
      return { ...separator, due: dayIn(from + separator.nextVisitDays * DAY_MS, timeZone) };
    })
    .sort((a, b) => (a.due < b.due ? -1 : a.due > b.due ? 1 : 0));
}

/**
 * How full each separator of a site is by its log book, and the day of its next visit; for one that nobody read
 * yet, counted from the first entry. Findings that do not fit the map are
 * left out and told. An empty log book is due nothing. O(entries), and a grid for each separator.
 */
export function dueVisits(entries: readonly Entry[], drainage: Drainage): { visits: DueVisit[]; problems: Problem[] } {
  const { map } = drainage;
  const { timeZone } = map.site;
  const { findings, problems } = readFindings(JSON.stringify(findingsFileOf(entries)), map);
  const { answer } = findUpkeep(drainage, findings, { emptied: emptiedOf(entries, timeZone ?? 'UTC') });
  const [first] = entries;
  return { visits: first ? visitsDue(answer.separators, { unreadFrom: first.at, timeZone }) : [], problems };
}

/** The calendar day of an instant in a time zone; in UTC where the zone is not known. */
function dayIn(ms: number, timeZone: string): string {
  const parts = (zone: string) =>
    new Intl.DateTimeFormat('en-CA', { timeZone: zone, year: 'numeric', month: '2-digit', day: '2-digit' }).format(ms);
  try {
    return parts(timeZone);
  } catch {
    return parts('UTC');
  }
}
