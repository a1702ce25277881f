import type { Drainage } from '../drainage/index.ts';
import { addDays, dayIn, instantOf, type Problem } from '../site-map/index.ts';
import { findingsIn } from '../sources/index.ts';
import { findUpkeep, type SeparatorUpkeep, type UpkeepQuestion } from '../upkeep/index.ts';
import type { Entry } from './entry.ts';
import { emptiedOf, entriesInForce, findingsFileOf, inspectionsOf } from './in-force.ts';

/** A separator with the day on which it is to be visited next. */
export interface DueVisit extends SeparatorUpkeep {
  /** YYYY-MM-DD in the site's time zone. */
  due: string;
}

/**
 * The day on which each separator is to be visited next, the soonest first: so many days after its last reading or pump-out,
 * or after `unreadFrom` where nobody read it, and never before the day after it was looked at last. Days are calendar
 * days of `timeZone` (UTC where it is left out), so a day on which clocks change counts as one.
 * O(separators · log(separators)).
 */
export function visitsDue(
  separators: readonly SeparatorUpkeep[],
  { unreadFrom, timeZone = 'UTC' }: { unreadFrom: string; timeZone?: string },
): DueVisit[] {
  const dayOf = (time: string) => dayIn(instantOf(time, timeZone) ?? 0, timeZone);
  return separators
    .map((separator) => {
      const { emptiedAt, readAt, lookedAt, nextVisitDays } = separator;
      const planned = addDays(dayOf(emptiedAt ?? readAt ?? lookedAt ?? unreadFrom), nextVisitDays);
      const soonest = lookedAt === null ? planned : addDays(dayOf(lookedAt), 1);
      return { ...separator, due: [planned, soonest].sort()[1] };
    })
    .sort((a, b) => (a.due < b.due ? -1 : a.due > b.due ? 1 : 0));
}

/**
 * How full each separator of a site is by its log book, and the day of its next visit; for one that nobody read
 * yet, counted from the first entry. Findings that do not fit the map are left out and told. An empty log book is due
 * nothing. O(entries), and a grid for each separator.
 */
export function dueVisits(entries: readonly Entry[], drainage: Drainage): { visits: DueVisit[]; problems: Problem[] } {
  const { map } = drainage;
  const { timeZone } = map.site;
  const { findings, problems } = findingsIn(findingsFileOf(entries, timeZone), map);
  const { answer } = findUpkeep(drainage, findings, upkeepQuestion(entries, timeZone));
  const [first] = entriesInForce(entries);
  return { visits: first ? visitsDue(answer.separators, { unreadFrom: first.at, timeZone }) : [], problems };
}

/** What a log book says of separators beside its findings. */
export const upkeepQuestion = (entries: readonly Entry[], timeZone?: string): UpkeepQuestion => ({
  emptied: emptiedOf(entries, timeZone),
  inspections: inspectionsOf(entries, timeZone),
});
