import type { Drainage } from '../drainage/index.ts';
import { instantOf, type Problem } from '../site-map/index.ts';
import { readFindings } from '../sources/index.ts';
import { findUpkeep, type SeparatorUpkeep } from '../upkeep/index.ts';
import type { SealedEntry } from './seal.ts';
import { emptiedOf, findingsFileOf } from './standing.ts';

/** A separator with the day on which it is to be visited next. */
export interface DueVisit extends SeparatorUpkeep {
  /** YYYY-MM-DD in the site's time zone. */
  due: string;
}

const DAY_MS = 24 * 3600 * 1000;

/**
 * How full each separator of a site is by its log book, and the day of its next visit, the soonest first: so many days after
 * the last reading or pump-out; for one that nobody read yet, after the first entry. Findings that do not fit the map are
 * left out and told. An empty log book is due nothing. O(entries), and a grid for each separator.
 */
export function dueVisits(
  entries: readonly SealedEntry[],
  drainage: Drainage,
): { visits: DueVisit[]; problems: Problem[] } {
  const { map } = drainage;
  const { timeZone = 'UTC' } = map.site;
  const { findings, problems } = readFindings(JSON.stringify(findingsFileOf(entries)), map);
  const { answer } = findUpkeep(drainage, findings, emptiedOf(entries, timeZone));
  const [first] = entries;
  if (!first) return { visits: [], problems };
  const visits = answer.separators.map((separator) => {
    const from = instantOf(separator.emptiedAt ?? separator.readAt ?? first.at, timeZone) ?? 0;
    return { ...separator, due: dayIn(from + separator.nextVisitDays * DAY_MS, timeZone) };
  });
  return { visits: visits.sort((a, b) => (a.due < b.due ? -1 : a.due > b.due ? 1 : 0)), problems };
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
