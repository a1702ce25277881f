import { instantOf } from '../site-map/index.ts';
import { isSeen, saysOil } from '../sources/index.ts';
import { type Condition, conditionSchema, type Emptied, type Look, oilIn } from '../upkeep/index.ts';
import { correctedBy } from './chain.ts';
import type { Entry } from './entry.ts';
import type { SealedEntry } from './seal.ts';

/** The entries that still stand, in their order: none that a later one corrects, and no corrections. O(entries). */
export function standingEntries<E extends Entry>(entries: readonly E[]): E[] {
  const corrected = new Set(entries.map(correctedBy));
  return entries.filter(({ id, kind }) => kind !== 'correction' && !corrected.has(id));
}

/** What a visit saw in a separator; undefined where it did not look into one. */
export const conditionOf = ({ body }: Pick<Entry, 'body'>): Condition | undefined =>
  conditionSchema.safeParse(body.condition).data;

/** Oil that a visit found and nobody said since when is taken to have come within this time. */
const UNKNOWN_SINCE_MS = 365 * 24 * 3600 * 1000;
/** A dip stick in each chamber is right within this factor two times in three. A guess. */
const DIP_FACTOR = 1.2;

/**
 * The findings of a log book as a findings file, for `readFindings`: those entered as such, and what visits
 * read. A finding has the id of its entry, or its own where that is alone. Where a visit does not say since when, that is
 * when its place was last emptied, known clean, or said to have been; before any, a year before the first visit there. Bare dates are of
 * `timeZone`. O(entries log entries).
 */
export function findingsFileOf(
  entries: readonly Entry[],
  timeZone = 'UTC',
): { format: string; version: number; findings: { id: string; [field: string]: unknown }[] } {
  const standing = standingEntries(entries);
  const read = visitFindings(standing, timeZone);
  const ids = new Set<string>();
  const findings = standing.flatMap(({ id, kind, body }) => {
    const found = kind === 'finding' ? body : read.get(id);
    if (!found) return [];
    const own = typeof found.id === 'string' && !ids.has(found.id) ? found.id : id;
    ids.add(own);
    return [{ ...found, id: own }];
  });
  return { format: 'oilshed-findings', version: 1, findings };
}

/** What visits read, as findings, by the id of their entry. */
function visitFindings(standing: readonly Entry[], timeZone: string): Map<string, Entry['body']> {
  const findings = new Map<string, Entry['body']>();
  /** When each place was empty or clean. */
  const clean = new Map<string, { ms: number; at: string }[]>();
  const timeOf = ({ at }: Entry) => instantOf(at, timeZone) ?? 0;
  for (const entry of [...standing].sort((a, b) => timeOf(a) - timeOf(b))) {
    const { kind, at, body } = entry;
    const place = String(body.at);
    const [ms, times] = [timeOf(entry), clean.get(place) ?? []];
    clean.set(place, times);
    if (isPumpOut(entry)) times.push({ ms, at });
    if (kind !== 'visit' || body.at === undefined) continue;
    const condition = conditionOf(entry) ?? {};
    const oil = oilIn(condition);
    if (oil === null && body.seen === undefined) continue;
    if (typeof body.since === 'string') times.push({ ms: instantOf(body.since, timeZone) ?? 0, at: body.since });
    if (!times.some((each) => each.ms < ms)) {
      times.unshift({ ms: ms - UNKNOWN_SINCE_MS, at: new Date(ms - UNKNOWN_SINCE_MS).toISOString() });
    }
    // Emptied on the day of the visit, neither with a time of day: it was dipped before.
    const before = times.filter((each) => each.ms < ms);
    const since = body.since ?? before.reduce((last, each) => (each.ms >= last.ms ? each : last)).at;
    const { sludgeMm, sheenAtOutlet, sorbent } = condition;
    const amount = oil && { thicknessMm: oil.litres / oil.areaM2, areaM2: oil.areaM2, factor: DIP_FACTOR };
    const seen = amount ? { amount } : { seen: body.seen };
    findings.set(entry.id, { at: place, since, seenAt: at, ...seen, sludgeMm, sheenAtOutlet, sorbent });
    if (oil ? oil.litres === 0 : isSeen(body.seen) && !saysOil(body.seen)) times.push({ ms, at });
  }
  return findings;
}

const isPumpOut = ({ kind, body }: Entry) => kind === 'action' && body.action === 'pump-out' && body.at !== undefined;

/** The pump-outs in a log book that still stand. O(entries). */
export function emptiedOf(entries: readonly Entry[], timeZone = 'UTC'): Emptied[] {
  return standingEntries(entries)
    .filter(isPumpOut)
    .map(({ at, body }) => ({ at: String(body.at), emptiedAt: at, emptiedMs: instantOf(at, timeZone) ?? 0 }));
}

/** What visits saw in separators besides oil, those that dipped none among them. O(entries). */
export function looksOf(entries: readonly Entry[], timeZone = 'UTC'): Look[] {
  return standingEntries(entries).flatMap((entry) => {
    const condition = entry.kind === 'visit' && entry.body.at !== undefined ? conditionOf(entry) : undefined;
    if (!condition) return [];
    const { sludgeMm, sheenAtOutlet } = condition;
    const seenAtMs = instantOf(entry.at, timeZone) ?? 0;
    return [{ at: String(entry.body.at), seenAt: entry.at, seenAtMs, sludgeMm, sheenAtOutlet }];
  });
}

export interface DueWork {
  /** The entry that says so. */
  id: string;
  site: string;
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
  const works = standingEntries(entries).filter(({ kind }) => kind === 'corrective');
  const closed = new Set(works.map(({ body }) => (body.closed === undefined ? undefined : body.closes)));
  return works
    .filter(({ id, body }) => body.closed === undefined && !closed.has(id))
    .map(({ id, site, at, received, body }) => ({
      id,
      site,
      received: received ?? at,
      due: String(body.due),
      note: String(body.note),
    }));
}
