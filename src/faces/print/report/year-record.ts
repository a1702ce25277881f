import {
  dueWork,
  entriesInForce,
  findingsFileOf,
  ofKind,
  type SealedEntry,
  type SealedOf,
} from '../../../log-book/index.ts';
import { DAY_MS, instantOf, type SiteMap } from '../../../site-map/index.ts';
import { findingsIn } from '../../../sources/index.ts';
import type { Filling } from './fill-history.tsx';
import type { Printing } from './printing.ts';
import { yearBounds } from './times.ts';
import { fillingOf, seenIn } from './visit-report.ts';

/** One separator over a year. */
export interface SeparatorYear {
  id: string;
  visits: number;
  /** The longest time without a visit, in whole days; null where the log book began later. */
  longestGapDays: number | null;
  /** Visits that fell due and were not held; null where no permit sets how often. */
  missed: number | null;
  /** The last reading in the year; null where there is none. */
  lastSeen: { ms: number; litres: number } | null;
  /** When it was pumped out after that. */
  emptiedAfterMs: number | null;
  pumpOuts: number;
  filling: Filling | null;
}

/** What a log book has of one year. */
export interface YearRecord {
  year: number;
  /** In order of time. */
  entries: SealedEntry[];
  /** How many of them a later entry corrects. */
  corrected: number;
  separators: SeparatorYear[];
  visits: number;
  pumpOuts: number;
  spills: { count: number; litres: number; reachedWater: number };
  samples: number;
  work: { open: number; closed: number };
  /** Litres that pump-outs took out in all, oil, water and sediment together, and how many say none; null where none says any. */
  takenOut: { litres: number; unknown: number } | null;
  /** The longest that the permit lets a separator go without a visit, in days; null where the map states none. */
  dueEveryDays: number | null;
  /** Findings that do not fit the map. */
  misfits: number;
}

/**
 * What the log book has of a year, counted in the site's time zone; entries that were corrected are listed, and count for
 * nothing. O(entries log entries), and a look through them for each separator.
 */
export function yearRecord(year: number, printing: Printing): YearRecord {
  const { drainage, book, timeZone, nowMs } = printing;
  const { fromMs, toMs } = yearBounds(year, timeZone);
  const msOf = (at: string) => instantOf(at, timeZone) ?? 0;
  const isInYear = ({ at }: SealedEntry) => msOf(at) >= fromMs && msOf(at) < toMs;
  const entries = book.entries.filter(isInYear).sort((a, b) => msOf(a.at) - msOf(b.at) || a.seq - b.seq);
  const standing = entriesInForce(book.entries);
  const ofYear = standing.filter(isInYear);
  const untilMs = Math.min(toMs, nowMs);
  const everyDays = permitDays(drainage.map);
  const seen = seenIn(standing, printing);
  const sinceMs = countedFrom(book.entries, standing, msOf);
  const pumpOuts = ofKind(ofYear, 'action').filter(({ body }) => body.action === 'pump-out');
  const separators = drainage.map.structures
    .filter(({ kind }) => kind === 'separator')
    .map(({ id }): SeparatorYear => {
      const filling = fillingOf(id, seen, printing, { fromMs, toMs });
      const visitsMs = ofKind(standing, 'visit')
        .filter(({ body }) => body.at === id)
        .map(({ at }) => msOf(at));
      const lastSeen = filling?.readings.at(-1) ?? null;
      return {
        id,
        ...heldAgainstDue(visitsMs, { sinceMs, fromMs, untilMs, everyDays }),
        lastSeen,
        emptiedAfterMs: filling?.emptiedMs.filter((ms) => lastSeen !== null && ms >= lastSeen.ms).at(-1) ?? null,
        pumpOuts: pumpOuts.filter(({ body }) => body.at === id).length,
        filling,
      };
    });
  const spills = ofKind(ofYear, 'spill').map(({ body }) => body);
  const open = new Set(dueWork(book.entries).map(({ id }) => id));
  // An entry that closes the work of another does not count as work itself.
  const work = ofKind(ofYear, 'corrective').filter(({ body }) => body.closes === undefined);
  return {
    year,
    entries,
    corrected: entries.filter(({ id }) => book.corrections.has(id)).length,
    separators,
    visits: ofKind(ofYear, 'visit').length,
    pumpOuts: pumpOuts.length,
    spills: {
      count: spills.length,
      litres: spills.reduce((sum, { litres }) => sum + litres, 0),
      reachedWater: spills.filter(({ reachedWater }) => reachedWater === true).length,
    },
    samples: ofKind(ofYear, 'sample').length,
    work: { open: work.filter(({ id }) => open.has(id)).length, closed: work.filter(({ id }) => !open.has(id)).length },
    takenOut: takenOutOf(pumpOuts),
    dueEveryDays: everyDays,
    misfits: findingsIn(findingsFileOf(ofYear, timeZone), drainage.map).problems.length,
  };
}

/** When the record begins: with the log book itself, or with a visit that was entered later and was held before. */
const countedFrom = (
  entries: readonly SealedEntry[],
  standing: readonly SealedEntry[],
  msOf: (at: string) => number,
): number =>
  standing
    .filter(({ kind }) => kind === 'visit')
    .reduce(
      (soonest, { at }) => Math.min(soonest, msOf(at)),
      entries.length > 0 ? msOf(entries[0].received) : Number.POSITIVE_INFINITY,
    );

const permitDays = ({ site: { inspectEveryDays } }: Pick<SiteMap, 'site'>): number | null =>
  inspectEveryDays === undefined ? null : Math.max(1, Math.floor(inspectEveryDays));

/**
 * Visits within a window of time, the longest time without one that ends in it, and how many due visits fell into such
 * times; null where nothing says how often one is due. Counting starts at `sinceMs`, as the first visit is due from then.
 */
export function heldAgainstDue(
  visitsMs: readonly number[],
  {
    sinceMs,
    fromMs,
    untilMs,
    everyDays,
  }: { sinceMs: number; fromMs: number; untilMs: number; everyDays: number | null },
): Pick<SeparatorYear, 'visits' | 'longestGapDays' | 'missed'> {
  const inOrder = visitsMs.filter((ms) => ms < untilMs).sort((a, b) => a - b);
  const visits = inOrder.filter((ms) => ms >= fromMs).length;
  if (sinceMs >= untilMs) return { visits, longestGapDays: null, missed: everyDays && 0 };
  const ends = [...inOrder, untilMs];
  const gaps = ends.flatMap((ms, at) => {
    const startMs = ends[at - 1] ?? sinceMs;
    if (ms < fromMs) return [];
    return [{ days: Math.floor((ms - startMs) / DAY_MS), daysBefore: Math.floor((fromMs - startMs) / DAY_MS) }];
  });
  const dueIn = (days: number, every: number) => Math.max(0, Math.ceil(days / every) - 1);
  return {
    visits,
    longestGapDays: gaps.reduce((longest, { days }) => Math.max(longest, days), 0),
    // Those that fell due before the window belong to the window before.
    missed:
      everyDays &&
      gaps.reduce((sum, { days, daysBefore }) => sum + dueIn(days, everyDays) - dueIn(daysBefore, everyDays), 0),
  };
}

function takenOutOf(pumpOuts: readonly SealedOf<'action'>[]): YearRecord['takenOut'] {
  const written = pumpOuts.flatMap(({ body: { litres } }) => (typeof litres === 'number' ? [litres] : []));
  if (written.length === 0) return null;
  return { litres: written.reduce((sum, litres) => sum + litres, 0), unknown: pumpOuts.length - written.length };
}
