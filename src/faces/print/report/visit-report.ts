import { capital, type Told, told } from '../../../catalogue/index.ts';
import {
  dueVisits,
  emptiedOf,
  entriesInForce,
  findingsFileOf,
  ofKind,
  type SealedEntry,
  type SealedOf,
  subjectOf,
} from '../../../log-book/index.ts';
import { DAY_MS, instantOf, planAreaOf, type Structure } from '../../../site-map/index.ts';
import { type Finding, findingsIn, heldIn, isSeen } from '../../../sources/index.ts';
import {
  type Condition,
  type Emptied,
  type FillLimits,
  type FillState,
  fillLimits,
  oilIn,
  type Step,
  stepsAfter,
} from '../../../upkeep/index.ts';
import { stepsTold } from '../../../words/index.ts';
import { shortened } from '../binder.ts';
import type { Filling } from './fill-history.tsx';
import { namesFor, type Printing } from './printing.ts';

/** What one visit saw, and what follows from it. */
export interface VisitReport {
  entry: SealedOf<'visit'>;
  /** Later entries that correct it. */
  corrections: readonly SealedOf<'correction'>[];
  /** Where it was; null where the visit names no structure. */
  structure: Structure | null;
  /** How full a separator was; null for any other place, and where the visit did not look at what it tells by. */
  state: FillState | null;
  /** The answer, in a sentence or two. */
  answer: Told;
  condition: Condition;
  steps: Step[];
  /** YYYY-MM-DD; null where the visit was corrected, or was not at a separator. */
  due: string | null;
  limits: FillLimits | null;
  /** The year up to this visit; null where nothing was measured. */
  filling: Filling | null;
  /** The first pump-out after it. */
  pumpedOut: SealedEntry | null;
  /** Readings that the day of the next visit rests on, and whether they are enough to say when it fills. */
  readings: number;
  hasForecast: boolean;
  /** Findings that do not fit the map. */
  misfits: number;
}

/** What a visit saw, by the log book as it stood right after it; later corrections count. O(entries), and a grid for each separator. */
export function visitReport(entry: SealedOf<'visit'>, printing: Printing): VisitReport {
  const { drainage, book, timeZone } = printing;
  const { at: place, condition = {} } = entry.body;
  const structure = drainage.map.structures.find(({ id }) => id === place) ?? null;
  const separator = structure?.kind === 'separator' ? structure : null;
  const limits = separator && fillLimits(separator);
  const corrections = book.corrections.get(entry.id) ?? [];
  const steps = limits ? stepsAfter(condition, limits) : [];
  const visitMs = msOf(entry, timeZone);
  const standing = entriesInForce(book.entries);
  const before = standing.filter((each) => msOf(each, timeZone) <= visitMs);
  const { visits, problems } = dueVisits(
    separator ? before.filter((each) => subjectOf(each) === separator.id) : [],
    drainage,
  );
  const upkeep = visits.find(({ id }) => id === separator?.id);
  const due = corrections.length === 0 ? (upkeep?.due ?? null) : null;
  const report = {
    entry,
    corrections,
    structure,
    state: limits && stateOf(condition, steps),
    condition,
    steps,
    due,
    limits,
    filling:
      separator &&
      fillingOf(separator.id, seenIn(before, printing), printing, {
        fromMs: visitMs - YEAR_MS,
        toMs: visitMs + 4 * DAY_MS,
      }),
    pumpedOut:
      separator && (standing.find((each) => isPumpOutOf(separator.id, each) && msOf(each, timeZone) > visitMs) ?? null),
    readings: upkeep?.readings ?? 0,
    hasForecast: upkeep?.hasForecast ?? false,
    misfits: problems.length,
  };
  return { ...report, answer: answerOf(report, printing) };
}

const YEAR_MS = 365 * DAY_MS;

const isPumpOutOf = (id: string, entry: SealedEntry) =>
  entry.kind === 'action' && entry.body.action === 'pump-out' && entry.body.at === id;

const msOf = ({ at }: SealedEntry, timeZone: string) => instantOf(at, timeZone) ?? 0;

const PUMP_OUT: readonly Step[] = ['pump-out-oil', 'pump-out-sediment'];
const WATCH: readonly Step[] = ['more-packs', 'watch-sediment', 'clean-outlet'];

/** The state that this visit alone tells; null where it looked at nothing that tells it. */
function stateOf(condition: Condition, steps: readonly Step[]): FillState | null {
  if (steps.some((step) => PUMP_OUT.includes(step))) return 'pump-out';
  if (steps.some((step) => WATCH.includes(step))) return 'watch';
  return condition.chambers ? 'fine' : null;
}

/** What a log book says of separators, by the entries that still stand. */
interface Seen {
  standing: readonly SealedEntry[];
  findings: readonly Finding[];
  emptied: readonly Emptied[];
}

/** Reads standing entries for `fillingOf`, once for all separators. O(entries log entries). */
export const seenIn = (standing: readonly SealedEntry[], { drainage, timeZone }: Printing): Seen => ({
  standing,
  findings: findingsIn(findingsFileOf(standing, timeZone), drainage.map).findings,
  emptied: emptiedOf(standing, timeZone),
});

/** How full a separator was over a window of time; null where nobody measured it. O(standing entries). */
export function fillingOf(
  id: string,
  { standing, findings, emptied }: Seen,
  { drainage, timeZone }: Printing,
  { fromMs, toMs }: { fromMs: number; toMs: number },
): Filling | null {
  const isWithin = (ms: number) => ms >= fromMs && ms < toMs;
  const readings = findings
    .filter(({ at, seenAtMs }) => at === id && isWithin(seenAtMs))
    .flatMap((finding) => {
      const held = heldIn(finding);
      return held ? [{ ms: finding.seenAtMs, litres: held.litres }] : [];
    })
    .sort((a, b) => a.ms - b.ms);
  if (readings.length === 0) return null;
  const emptiedMs = emptied
    .filter((each) => each.at === id && isWithin(each.emptiedMs))
    .map((each) => each.emptiedMs)
    .sort((a, b) => a - b);
  return { fromMs, toMs, readings, emptiedMs, limitLitres: limitLitresOf(id, standing, drainage), timeZone };
}

/** Litres at the oil limit, by the map's size of it; else by the area that was written down last. */
function limitLitresOf(id: string, standing: readonly SealedEntry[], { map }: Printing['drainage']): number | null {
  const structure = map.structures.find((each) => each.id === id);
  if (structure?.kind !== 'separator') return null;
  const { oilLimitMm } = fillLimits(structure);
  const planAreaM2 = planAreaOf(structure);
  if (planAreaM2 !== null) return oilLimitMm * planAreaM2;
  const read = ofKind(standing, 'visit')
    .filter(({ body }) => body.at === id)
    .flatMap(({ body: { condition = {} } }) => oilIn(condition) ?? []);
  const areaM2 = read.at(-1)?.areaM2;
  return areaM2 === undefined ? null : oilLimitMm * areaM2;
}

/** How full, what state, what to do and by when. */
function answerOf(report: Omit<VisitReport, 'answer'>, printing: Printing): Told {
  const { entry, corrections, state, steps, due, limits, condition } = report;
  const { at, seen } = entry.body;
  const name = at === undefined ? null : shortened(namesFor(printing)(at), LETTERS_IN_SENTENCE);
  if (corrections.length > 0)
    return name === null ? told('report.answer-corrected-yard') : told('report.answer-corrected', { name });
  const first = name === null ? told('report.the-yard') : capital(name, printing.voice.locale);
  if (limits === null || name === null)
    return isSeen(seen)
      ? told(`visits.was-${seen}`, { name: first })
      : told('report.answer-inspected', { name: first });
  if (state === 'pump-out') return told('report.answer-pump-out', { name, reason: reasonOf(steps) });
  const oil = oilIn(condition);
  const full = oil
    ? told('report.answer-share', { name: first, share: { share: oil.litres / (limits.oilLimitMm * oil.areaM2) } })
    : told('report.answer-not-measured', { name });
  const work = workOf(steps);
  return due === null
    ? told('report.answer', { full, work })
    : told('report.answer-until', { full, work, day: { day: due } });
}

const LETTERS_IN_SENTENCE = 30;
/** More steps than this are only listed. */
const MOST_IN_SENTENCE = 2;

function workOf(steps: readonly Step[]): Told {
  return steps.length > MOST_IN_SENTENCE
    ? told('report.answer-many', { count: steps.length })
    : (stepsTold(steps) ?? told('report.answer-nothing'));
}

function reasonOf(steps: readonly Step[]): 'oil' | 'sediment' | 'both' {
  const [isOil, isSediment] = PUMP_OUT.map((step) => steps.includes(step));
  return isOil && isSediment ? 'both' : isOil ? 'oil' : 'sediment';
}
