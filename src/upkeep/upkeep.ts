import { type Told, told } from '../catalogue/index.ts';
import { type Drainage, drainedAreas, flowIndexOf, holdsOf, oilshed } from '../drainage/index.ts';
import { byId, type Problem, planAreaOf, problem, type SiteMap, type Structure } from '../site-map/index.ts';
import { expectedLitresPerYear, type Finding, heldIn } from '../sources/index.ts';
import type { FillLimits } from './condition.ts';
import { chanceOver, FEWEST_READINGS, fillByDays, learnFill, meanRate, type Reading } from './forecast.ts';
import { riseMps, smallestCaughtUm, USUAL_FLUIDS } from './gravity.ts';

/** How full a separator is: `watch` when its packs no longer suffice, `pump-out` at a limit. */
export type FillState = 'fine' | 'watch' | 'pump-out';

export interface SeparatorUpkeep {
  id: string;
  /** When it was last read, as written; null where nobody did. */
  readAt: string | null;
  /** When anything was looked at in it last, as written; null where nobody did. */
  lookedAt: string | null;
  /** When it was pumped out after that reading, as written; else null. It holds nothing then, and days count from it. */
  emptiedAt: string | null;
  /** Thickness of the oil, mm; null where it was not read, or the separator's size is not on the map. */
  oilMm: number | null;
  oilLitres: number | null;
  sludgeMm: number | null;
  /** A sheen was seen at the outlet; null where nobody looked. */
  sheenAtOutlet: boolean | null;
  state: FillState;
  /** What made it so. */
  reasons: Told[];
  /** Litres at which it must be pumped out, and that its packs can take; null where its size is not on the map. */
  limitLitres: number | null;
  packLitres: number | null;
  /** The chance that the oil passes its limit by so many days after the last reading; empty without a forecast. */
  limitChanceByDays: { days: number; chance: number }[];
  /** Days from the last reading until the packs are expected to be spent; null without a forecast or beyond a year. */
  packDays: number | null;
  /** Days until its oil is expected to pass its limit; null without a forecast or beyond a year. */
  limitDays: number | null;
  /** Litres a year that it is thought to catch; null without a forecast. */
  litresPerYear: number | null;
  /** Days from the last reading to the next visit, 1 to 91. */
  nextVisitDays: number;
  /** Readings that the forecast rests on, and whether there is one. */
  readings: number;
  hasForecast: boolean;
  /** Litres that it will hold, with 5 % and 95 % bounds, so many days after the last reading; empty without a forecast. */
  fillByDays: { days: number; litres: number; low: number; high: number }[];
  /** The flow that it is held against, L/s: what the rain asked about brings, else its design flow; null where neither is known. */
  flowLps: number | null;
  /** The smallest droplet still caught at that flow, µm, at the free depth, plates not counted; null where size or flow is not known. */
  smallestCaughtUm: number | null;
  /** Whether water runs through it faster than oil can rise in; null where size or flow is not known. */
  isTooFast: boolean | null;
}

export interface UpkeepQuestion {
  /** When separators were pumped out. */
  emptied?: readonly Emptied[];
  /** What was seen besides findings. */
  inspections?: readonly Inspection[];
  /** Rain that falls now; left out, each is held against its design flow. */
  rainMmPerH?: number;
}

/** A look into a separator that may have dipped no oil. */
export interface Inspection {
  at: string;
  /** As written, and as ms since 1970. */
  seenAt: string;
  seenAtMs: number;
  sludgeMm?: number;
  sheenAtOutlet?: boolean;
}

/** A separator that was pumped out. */
export interface Emptied {
  at: string;
  /** As written, and as ms since 1970. */
  emptiedAt: string;
  emptiedMs: number;
}

export interface UpkeepAnswer {
  separators: SeparatorUpkeep[];
}

const [DEFAULT_OIL_LIMIT_MM, DEFAULT_SLUDGE_LIMIT_MM] = [25.4, 152];
/** Days at which the chance is told. */
const TOLD_DAYS = [1, 7, 14, 30, 60, 91, 182, 365];
/** The next visit is the last day on which the chance is under this. */
const CHANCE_AT_VISIT = 0.05;
const [SOONEST_DAYS, LATEST_DAYS] = [1, 91];
/** Where there is no forecast: monthly, as maintenance standards ask (Stormwater Partners of southwest Washington, Oil/water separators). */
const WITHOUT_FORECAST_DAYS = 30;
const DAYS_PER_YEAR = 365.25;

/**
 * How full is each separator, and when is the next visit due? From findings at separators: amounts, clean looks,
 * `sludgeMm`, `sheenAtOutlet`; and from when it was pumped out. Days count from a separator's last reading, or from the
 * pump-out after it, so the answer needs no clock. One grid for each separator with four readings or more. The answer
 * always has every separator of the map, by id; what is not known of one is null or empty, and each one without a
 * forecast has a problem that says so. Limits that the map does not state are those of Stormwater Partners of southwest
 * Washington. A forecast is of a yard that goes on as it was, and of nobody coming by (see `learnFill`).
 *
 * @example
 * import { compileDrainage } from 'oilshed/drainage';
 * import { readSiteMap } from 'oilshed/site-map';
 * import { findUpkeep } from 'oilshed/upkeep';
 * const properties = { kind: 'separator', lengthM: 4, widthM: 1.5, waterDepthM: 1.2, designFlowLps: 6 };
 * const separator = { type: 'Feature', id: 'SEP-1', properties, geometry: { type: 'Point', coordinates: [-105, 40] } };
 * const { map } = readSiteMap(JSON.stringify({ type: 'FeatureCollection', site: { format: 'oilshed-site', version: 1 }, features: [separator] }));
 * const [{ limitLitres, nextVisitDays, smallestCaughtUm }] = findUpkeep(compileDrainage(map), []).answer.separators;
 * limitLitres; // → 25.4 * 6
 * nextVisitDays; // → 30
 * Math.round(smallestCaughtUm ?? 0); // → 150
 */
export function findUpkeep(
  drainage: Drainage,
  findings: readonly Finding[],
  { emptied = [], inspections = [], rainMmPerH }: UpkeepQuestion = {},
): { answer: UpkeepAnswer; problems: Problem[] } {
  const { map } = drainage;
  const separators = map.structures.filter((each) => each.kind === 'separator').sort((a, b) => byId(a.id, b.id));
  const flowOf = rainMmPerH === undefined ? designFlowOf : flowsIn(drainage, rainMmPerH);
  const answers = separators.map((separator) =>
    upkeepOf(drainage, separator, {
      flowLps: flowOf(separator),
      findings: findings.filter(({ at }) => at === separator.id),
      emptied: emptied.filter(({ at }) => at === separator.id),
      looks: inspections.filter(({ at }) => at === separator.id),
    }),
  );
  const problems = answers
    .filter(({ hasForecast }) => !hasForecast)
    .map(({ id, readings }) =>
      problem(
        'no-forecast',
        { id, field: null },
        {
          message: told('upkeep.too-few-readings', { readings }),
          found: String(readings),
          allowed: told('upkeep.readings-allowed', { least: FEWEST_READINGS }),
          cure: told('upkeep.read-every-visit'),
        },
      ),
    );
  return { answer: { separators: answers }, problems };
}

interface Sizes extends FillLimits {
  areaM2: number | null;
  depthM: number | null;
  lengthM: number | null;
  widthM: number | null;
}

/**
 * The limits of a separator: the map's, else the usual ones, which go for any other structure: 25.4 mm of oil and 152
 * mm of sediment (Stormwater Partners of southwest Washington). Packs that the map does not count are taken to hold
 * half of the oil that the limit allows, a guess. O(1).
 */
export function fillLimits(structure: Structure): FillLimits {
  const { oilLimitMm, sludgeLimitMm, packLitres } = sizesOf(structure);
  return { oilLimitMm, sludgeLimitMm, packLitres };
}

function sizesOf(structure: Structure): Sizes {
  const properties: Partial<Structure<'separator'>['properties']> =
    structure.kind === 'separator' ? structure.properties : {};
  const { lengthM, widthM, waterDepthM, oilLimitMm, sludgeLimitMm, packLitres } = properties;
  const areaM2 = planAreaOf(structure);
  const limit = oilLimitMm ?? DEFAULT_OIL_LIMIT_MM;
  return {
    areaM2,
    depthM: waterDepthM ?? null,
    lengthM: lengthM ?? null,
    widthM: widthM ?? null,
    oilLimitMm: limit,
    sludgeLimitMm: sludgeLimitMm ?? DEFAULT_SLUDGE_LIMIT_MM,
    // One millimetre on one square metre is one litre.
    packLitres: packLitres ?? (areaM2 === null ? null : (limit * areaM2) / 2),
  };
}

/** The plan area that oil lies on: the map's, else the one the amount was measured on. */
function areaOf(sizes: Sizes, readings: readonly Pick<Finding, 'source'>[]): number | null {
  if (sizes.areaM2 !== null) return sizes.areaM2;
  const areas = readings.flatMap(({ source }) => source.amount?.areaM2 ?? []);
  return areas.at(-1) ?? null;
}

/** What is known of one separator besides the map. */
interface SeparatorFacts {
  flowLps: number | null;
  findings: readonly Finding[];
  emptied: readonly Emptied[];
  looks: readonly Inspection[];
}

function upkeepOf(drainage: Drainage, separator: Structure<'separator'>, facts: SeparatorFacts): SeparatorUpkeep {
  const sizes = sizesOf(separator);
  const { readings, lastRead, lastLook, pumpOut, sludgeMm, sheenAtOutlet } = historyOf(facts);
  const last = pumpOut ? EMPTY : lastRead;
  const areaM2 = areaOf(sizes, readings);
  const oilLitres = last?.litres ?? null;
  const oilMm = oilLitres === null || areaM2 === null ? null : oilLitres / areaM2;
  const limitLitres = areaM2 === null ? null : sizes.oilLimitMm * areaM2;
  const packLitres = sizes.packLitres ?? (limitLitres === null ? null : limitLitres / 2);
  const { state, reasons } = stateOf({ oilMm, oilLitres, sludgeMm, sheenAtOutlet, packLitres, sizes });
  const hasForecast = readings.length >= FEWEST_READINGS && limitLitres !== null;
  const { visitDays, ...forecast } = hasForecast
    ? forecastOf({
        readings,
        isEmptied: pumpOut !== null,
        limitLitres,
        packLitres,
        expected: heldLitresPerYear(drainage, separator),
      })
    : NO_FORECAST;
  return {
    id: separator.id,
    readAt: lastRead?.source.seenAt ?? null,
    lookedAt: lastLook?.seenAt ?? null,
    emptiedAt: pumpOut?.emptiedAt ?? null,
    oilMm,
    oilLitres,
    sludgeMm,
    sheenAtOutlet,
    state,
    reasons,
    limitLitres,
    packLitres,
    ...forecast,
    nextVisitDays: nextVisit(drainage.map, { state, sheenAtOutlet, forecastDays: visitDays }),
    readings: readings.length,
    hasForecast,
    flowLps: facts.flowLps,
    ...throughIt(sizes, { flowLps: facts.flowLps, oilMm, sludgeMm }),
  };
}

/** What was read and seen, in order of time, and the pump-out that stands: one after which nothing was read. */
function historyOf({ findings, emptied, looks }: SeparatorFacts) {
  const all = [...findings].sort((a, b) => a.seenAtMs - b.seenAtMs);
  const readings = all.flatMap((finding) => {
    const held = heldIn(finding);
    return held ? [{ sinceMs: finding.sinceMs, seenAtMs: finding.seenAtMs, source: finding.source, ...held }] : [];
  });
  const lastRead = readings.at(-1);
  const pumpOut = emptied.reduce<Emptied | null>(
    (latest, each) => (each.emptiedMs >= (latest?.emptiedMs ?? lastRead?.seenAtMs ?? 0) ? each : latest),
    null,
  );
  const looked = [...all.map(({ source, seenAtMs }) => ({ ...source, seenAtMs })), ...looks].sort(
    (a, b) => a.seenAtMs - b.seenAtMs,
  );
  // What was seen before it was pumped out is gone.
  const seen = pumpOut ? looked.filter(({ seenAtMs }) => seenAtMs > pumpOut.emptiedMs) : looked;
  return {
    readings,
    lastRead,
    lastLook: looked.at(-1),
    pumpOut,
    sludgeMm: lastOf(seen, (each) => each.sludgeMm),
    sheenAtOutlet: lastOf(seen, (each) => each.sheenAtOutlet),
  };
}

type Forecast = Pick<
  SeparatorUpkeep,
  'limitChanceByDays' | 'fillByDays' | 'packDays' | 'limitDays' | 'litresPerYear'
> & {
  /** The last day on which its limit is still unlikely to be passed. */
  visitDays: number | null;
};

const NO_FORECAST: Forecast = {
  limitChanceByDays: [],
  fillByDays: [],
  packDays: null,
  limitDays: null,
  litresPerYear: null,
  visitDays: null,
};

/** How it fills from the last reading, or from when it was emptied after that. */
function forecastOf({
  readings,
  isEmptied,
  limitLitres,
  packLitres,
  expected,
}: {
  readings: readonly Reading[];
  isEmptied: boolean;
  limitLitres: number;
  packLitres: number | null;
  /** Litres a year that the map expects it to hold back. */
  expected: number;
}): Forecast {
  const posterior = learnFill(readings, { litresPerYear: Math.max(0.1, expected) });
  const held = isEmptied ? EMPTY : posterior.last;
  const chanceOf = (limit: number) => (days: number) => chanceOver(posterior, { ...held, limitLitres: limit, days });
  const chance = chanceOf(limitLitres);
  return {
    limitChanceByDays: TOLD_DAYS.map((days) => ({ days, chance: chance(days) })),
    fillByDays: fillByDays(posterior, held),
    packDays: packLitres === null ? null : daysToHalf(chanceOf(packLitres)),
    limitDays: daysToHalf(chance),
    litresPerYear: meanRate(posterior),
    visitDays: lastDayUnder(chance),
  };
}

const EMPTY = { litres: 0, factor: 1 };

/** The latest value that was written down; null where it never was. */
function lastOf<L, T>(looks: readonly L[], read: (look: L) => T | undefined): T | null {
  return looks.reduce<T | null>((latest, look) => read(look) ?? latest, null);
}

/**
 * Litres a year that the map expects a separator to hold back: what each zone releases × the part of it that gets there
 * × what the separator holds. It is what the forecast thinks before any reading. O(edges above).
 */
function heldLitresPerYear(drainage: Drainage, separator: Structure): number {
  const comes = oilshed(drainage, separator.id).reduce(
    (sum, { zone, delivered }) => sum + delivered * expectedLitresPerYear(zone),
    0,
  );
  return comes * holdsOf(separator);
}

function stateOf({
  oilMm,
  oilLitres,
  sludgeMm,
  sheenAtOutlet,
  packLitres,
  sizes,
}: Pick<SeparatorUpkeep, 'oilMm' | 'oilLitres' | 'sludgeMm' | 'sheenAtOutlet' | 'packLitres'> & { sizes: Sizes }): {
  state: FillState;
  reasons: Told[];
} {
  const over = [
    ...(oilMm !== null && oilMm >= sizes.oilLimitMm ? [told('upkeep.reason-oil')] : []),
    ...(sludgeMm !== null && sludgeMm >= sizes.sludgeLimitMm ? [told('upkeep.reason-sediment')] : []),
  ];
  if (over.length > 0) return { state: 'pump-out', reasons: over };
  const near = [
    ...(oilLitres !== null && packLitres !== null && oilLitres > packLitres ? [told('upkeep.reason-pillows')] : []),
    ...(sludgeMm !== null && sludgeMm > sizes.sludgeLimitMm / 2 ? [told('upkeep.reason-sediment-half')] : []),
    ...(sheenAtOutlet ? [told('upkeep.reason-sheen')] : []),
  ];
  return near.length > 0 ? { state: 'watch', reasons: near } : { state: 'fine', reasons: [] };
}

/**
 * The last whole day on which a chance that never falls with the days is under 5 %, from 1 to 91; by halving, so seven
 * chances.
 */
function lastDayUnder(chance: (days: number) => number): number {
  let [low, high] = [SOONEST_DAYS, LATEST_DAYS];
  while (low < high) {
    const middle = Math.ceil((low + high) / 2);
    if (chance(middle) < CHANCE_AT_VISIT) low = middle;
    else high = middle - 1;
  }
  return low;
}

/**
 * The first whole day on which a chance that never falls is even or more, by halving: the middle of when it happens;
 * null beyond a year.
 */
function daysToHalf(chance: (days: number) => number): number | null {
  if (chance(DAYS_PER_YEAR) < 0.5) return null;
  let [low, high] = [0, Math.ceil(DAYS_PER_YEAR)];
  while (low < high) {
    const middle = Math.floor((low + high) / 2);
    if (chance(middle) >= 0.5) high = middle;
    else low = middle + 1;
  }
  return low;
}

/** A full separator is due at once; a sheen halves the interval; a permit's interval is never passed. */
function nextVisit(
  { site }: SiteMap,
  {
    state,
    sheenAtOutlet,
    forecastDays,
  }: { state: FillState; sheenAtOutlet: boolean | null; forecastDays: number | null },
): number {
  if (state === 'pump-out') return SOONEST_DAYS;
  const { inspectEveryDays = LATEST_DAYS } = site;
  const planned = (forecastDays ?? WITHOUT_FORECAST_DAYS) / (sheenAtOutlet ? 2 : 1);
  return Math.max(SOONEST_DAYS, Math.min(LATEST_DAYS, Math.floor(planned), Math.floor(inspectEveryDays)));
}

const designFlowOf = ({ properties }: Structure<'separator'>) => properties.designFlowLps ?? null;

const SECONDS_PER_HOUR = 3600;

/**
 * What a rain brings to each separator once all above it runs, L/s (rational method): a millimetre an hour on a square
 * metre that sheds all of it is a litre an hour. Too much for a shower that ends before the farthest water has come.
 */
function flowsIn(drainage: Drainage, rainMmPerH: number): (separator: Structure) => number {
  const { runoffM2 } = drainedAreas(drainage);
  return ({ id }) => (runoffM2[flowIndexOf(drainage, id)] * rainMmPerH) / SECONDS_PER_HOUR;
}

/**
 * The American Petroleum Institute (1990, Publication 421) designs for this droplet; water may run no faster than 3 ft/min
 * and 15 times its rise (US Department of Defense, MIL-HDBK-1005/16, section 5.6).
 */
const DESIGN_DROPLET_UM = 150;
const [MOST_MPS, MOST_RISES] = [0.01524, 15];

/**
 * What a flow does in the depth of water that oil and sediment leave. Plates catch smaller droplets, by an area that
 * the map does not state. Oil and sediment that nobody read count as none, so an unread separator looks its best.
 */
function throughIt(
  { lengthM, widthM, depthM }: Sizes,
  { flowLps, oilMm, sludgeMm }: Pick<SeparatorUpkeep, 'flowLps' | 'oilMm' | 'sludgeMm'>,
): Pick<SeparatorUpkeep, 'smallestCaughtUm' | 'isTooFast'> {
  if (lengthM === null || widthM === null || depthM === null || flowLps === null) {
    return { smallestCaughtUm: null, isTooFast: null };
  }
  const free = depthM - ((oilMm ?? 0) + (sludgeMm ?? 0)) / 1000;
  const alongMps = free > 0 ? flowLps / 1000 / (widthM * free) : Number.POSITIVE_INFINITY;
  return {
    smallestCaughtUm: smallestCaughtUm({ lengthM, widthM, depthM: free }, flowLps),
    isTooFast: alongMps > Math.min(MOST_MPS, MOST_RISES * riseMps(DESIGN_DROPLET_UM, USUAL_FLUIDS)),
  };
}

/**
 * Litres of oil that each separator still has room for by its last reading, by id: up to the limit at which it is pumped
 * out, and never below 0; all of that after a pump-out. What nobody read, or has no size on the map, is not among them.
 *
 * @example
 * import { roomsByReading } from 'oilshed/upkeep';
 * roomsByReading({ separators: [] }).size; // → 0
 */
export function roomsByReading({ separators }: UpkeepAnswer): ReadonlyMap<string, number> {
  return new Map(
    separators.flatMap(({ id, limitLitres, oilLitres, emptiedAt }): [string, number][] => {
      const held = emptiedAt === null ? oilLitres : 0;
      return limitLitres === null || held === null ? [] : [[id, Math.max(0, limitLitres - held)]];
    }),
  );
}
