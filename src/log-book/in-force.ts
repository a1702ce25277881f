import { instantOf } from '../site-map/index.ts';
import { type FindingSource, saysOil } from '../sources/index.ts';
import { type Emptied, type Inspection, oilIn } from '../upkeep/index.ts';
import { correctedBy } from './chain.ts';
import { type Entry, type EntryOf, ofKind, type SealedEntry, subjectOf } from './entry.ts';
import type { EntryId, SiteId } from './ids.ts';

/**
 * The entries that still stand, in their order: none that a correction names, and no corrections. A correction says in
 * words what was wrong; what is right is an entry of its own. A correction that is itself corrected still strikes what
 * it named. O(entries).
 */
export function entriesInForce<E extends Entry>(entries: readonly E[]): E[] {
  const corrected = new Set(entries.map(correctedBy));
  return entries.filter(({ id, kind }) => kind !== 'correction' && !corrected.has(id));
}

/** Oil that a visit found and nobody said since when is taken to have come within this time. */
const UNKNOWN_SINCE_MS = 365 * 24 * 3600 * 1000;
/** A dip stick in each chamber is right within this factor two times in three. A guess. */
const DIP_FACTOR = 1.2;

/**
 * The findings of a log book as a findings file, for `readFindings`: those entered as such, and what visits read. A
 * finding has the id of its entry, or its own where that is alone. Where a visit does not say since when, that is
 * when its place was last emptied, known clean, or said to have been; before any, a year before the first visit there. Bare dates are of
 * `timeZone`. O(entries log entries).
 */
export function findingsFileOf(
  entries: readonly Entry[],
  timeZone = 'UTC',
): { format: string; version: number; findings: FindingSource[] } {
  const standing = entriesInForce(entries);
  const read = visitFindings(standing, timeZone);
  const ids = new Set<string>();
  const findings = standing.flatMap((entry) => {
    const found = entry.kind === 'finding' ? { ...entry.body, id: entry.body.id ?? entry.id } : read.get(entry.id);
    if (!found) return [];
    const id = ids.has(found.id) ? entry.id : found.id;
    ids.add(id);
    return [{ ...found, id }];
  });
  return { format: 'oilshed-findings', version: 1, findings };
}

/** When a place was empty or clean, as written and in ms. */
interface CleanTime {
  at: string;
  ms: number;
}

/** What visits read, as findings, by the id of their entry. */
function visitFindings(standing: readonly Entry[], timeZone: string): Map<EntryId, FindingSource> {
  const findings = new Map<EntryId, FindingSource>();
  const clean = new Map<string, CleanTime[]>();
  const msOf = (time: string) => instantOf(time, timeZone) ?? 0;
  for (const entry of [...standing].sort((a, b) => msOf(a.at) - msOf(b.at))) {
    const place = subjectOf(entry);
    if (place === undefined) continue;
    const times = clean.get(place) ?? [];
    clean.set(place, times);
    if (isPumpOut(entry)) times.push({ at: entry.at, ms: msOf(entry.at) });
    const finding = entry.kind === 'visit' ? visitFinding(entry, times, msOf) : null;
    if (finding) findings.set(entry.id, finding);
  }
  return findings;
}

/** What a visit read of oil, null where it did not look; adds to the times at which its place was clean. */
function visitFinding(
  { id, at: seenAt, body }: EntryOf<'visit'>,
  times: CleanTime[],
  msOf: (time: string) => number,
): FindingSource | null {
  const { at, seen, condition = {} } = body;
  const oil = oilIn(condition);
  if (at === undefined || (oil === null && seen === undefined)) return null;
  const ms = msOf(seenAt);
  if (body.since !== undefined) times.push({ at: body.since, ms: msOf(body.since) });
  if (!times.some((each) => each.ms < ms)) {
    times.unshift({ ms: ms - UNKNOWN_SINCE_MS, at: new Date(ms - UNKNOWN_SINCE_MS).toISOString() });
  }
  // Emptied on the day of the visit, neither with a time of day: it was dipped before.
  const before = times.filter((each) => each.ms < ms);
  const since = body.since ?? before.reduce((last, each) => (each.ms >= last.ms ? each : last)).at;
  const { sludgeMm, sheenAtOutlet, sorbent } = condition;
  const finding = { id, at, since, seenAt, sludgeMm, sheenAtOutlet, sorbent };
  if (oil) {
    if (oil.litres === 0) times.push({ ms, at: seenAt });
    return { ...finding, amount: { thicknessMm: oil.litres / oil.areaM2, areaM2: oil.areaM2, factor: DIP_FACTOR } };
  }
  if (seen === undefined) return null;
  if (!saysOil(seen)) times.push({ ms, at: seenAt });
  return { ...finding, seen };
}

/** Whether an entry says that a place was pumped out: it holds nothing then. */
const isPumpOut = (entry: Entry): entry is EntryOf<'action'> =>
  entry.kind === 'action' && entry.body.action === 'pump-out' && entry.body.at !== undefined;

/**
 * The pump-outs in a log book that still stand and name their place, in its order; bare dates are of `timeZone`.
 * O(entries).
 */
export const emptiedOf = (entries: readonly Entry[], timeZone = 'UTC'): Emptied[] =>
  entriesInForce(entries)
    .filter(isPumpOut)
    .map(({ at: emptiedAt, body: { at = '' } }) => ({ at, emptiedAt, emptiedMs: instantOf(emptiedAt, timeZone) ?? 0 }));

/** What visits saw in separators besides oil, those that dipped none among them. O(entries). */
export const inspectionsOf = (entries: readonly Entry[], timeZone = 'UTC'): Inspection[] =>
  ofKind(entriesInForce(entries), 'visit').flatMap(({ at: seenAt, body: { at, condition } }) => {
    if (at === undefined || !condition) return [];
    const { sludgeMm, sheenAtOutlet } = condition;
    return [{ at, seenAt, seenAtMs: instantOf(seenAt, timeZone) ?? 0, sludgeMm, sheenAtOutlet }];
  });

export interface DueWork {
  /** The entry that says so. */
  id: EntryId;
  site: SiteId;
  /** As written: a date, or a date and time. */
  due: string;
  note: string;
  /** When that was taken into the log book; when it happened, where it has not been yet. */
  received: string;
}

/**
 * Corrective work that is not closed, in the order of the log book: neither by its own entry nor by a later one whose
 * `closes` is its id. O(entries).
 */
export function dueWork(entries: readonly (Entry & Partial<Pick<SealedEntry, 'received'>>)[]): DueWork[] {
  const works = ofKind(entriesInForce(entries), 'corrective');
  const closed = new Set(works.map(({ body }) => (body.closed === undefined ? undefined : body.closes)));
  return works
    .filter(({ id, body }) => body.closed === undefined && !closed.has(id))
    .map(({ id, site, at, received = at, body: { due, note } }) => ({ id, site, received, due, note }));
}
