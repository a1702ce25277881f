import { instantOf } from '../site-map/index.ts';
import { type Condition, conditionSchema, type Emptied, oilIn } from '../upkeep/index.ts';
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

/**
 * The findings of a log book as a findings file (contract §2), for `readFindings`: those entered as such, and what visits
 * saw. A finding without an id of its own has that of its entry. Where a visit does not say since when, that is the last
 * pump-out; before any, a year before the first visit there. O(entries log entries).
 */
export function findingsFileOf(entries: readonly Entry[]): {
  format: string;
  version: number;
  findings: object[];
} {
  const standing = standingEntries(entries);
  const since = new Map<string, string>();
  const ofVisits = new Map<string, object>();
  for (const entry of inTime(standing)) {
    const place = String(entry.body.at);
    if (isPumpOut(entry)) since.set(place, entry.at);
    if (entry.kind !== 'visit') continue;
    const { seen } = entry.body as { seen?: string };
    const condition = conditionOf(entry) ?? {};
    const oil = oilIn(condition);
    if (entry.body.at === undefined || (oil === null && seen === undefined)) continue;
    if (!since.has(place)) since.set(place, new Date(timeOf(entry) - UNKNOWN_SINCE_MS).toISOString());
    const { sludgeMm, sheenAtOutlet, sorbent } = condition;
    ofVisits.set(entry.id, {
      at: place,
      since: entry.body.since ?? since.get(place),
      seenAt: entry.at,
      ...(oil === null
        ? { seen }
        : { amount: { thicknessMm: oil.litres / oil.areaM2, areaM2: oil.areaM2, factor: DIP_FACTOR } }),
      sludgeMm,
      sheenAtOutlet,
      sorbent,
    });
  }
  const findings = standing.flatMap(({ id, kind, body }) => {
    const found = kind === 'finding' ? body : ofVisits.get(id);
    return found ? [{ id, ...found }] : [];
  });
  return { format: 'oilshed-findings', version: 1, findings };
}

/** A dip stick in each chamber is right within this factor two times in three. A guess. */
const DIP_FACTOR = 1.2;

const timeOf = ({ at }: Entry, timeZone = 'UTC') => instantOf(at, timeZone) ?? 0;
const inTime = (entries: readonly Entry[]) => [...entries].sort((a, b) => timeOf(a) - timeOf(b));
const isPumpOut = ({ kind, body }: Entry) => kind === 'action' && body.action === 'pump-out' && body.at !== undefined;

/** The pump-outs in a log book that still stand. O(entries). */
export function emptiedOf(entries: readonly Entry[], timeZone: string): Emptied[] {
  return standingEntries(entries)
    .filter(isPumpOut)
    .map((entry) => ({ at: String(entry.body.at), emptiedAt: entry.at, emptiedMs: timeOf(entry, timeZone) }));
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
