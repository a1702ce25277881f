import { type Told, told } from '../../catalogue/index.ts';
import { holdsOf } from '../../drainage/index.ts';
import {
  byId,
  explain,
  idRemedy,
  instantOf,
  isObject,
  type Problem,
  parseJson,
  planAreaOf,
  problem,
  type SiteMap,
  type Structure,
  show,
} from '../../site-map/index.ts';
import { amountOf, DEFAULT_FACTOR } from './amounts.ts';
import {
  type Amount,
  FINDING_WAYS,
  type FindingSource,
  findingsFileSchema,
  formOf,
  formsOf,
  waysOf,
} from './finding-format.ts';
import { saysOil } from './seen.ts';

/** A place and its window of time. */
export interface Window {
  id: string;
  /** A structure or zone; null for a look at the whole yard. */
  at: string | null;
  /** The window, ms since 1970, and its length in years of 365.25 days. */
  sinceMs: number;
  seenAtMs: number;
  years: number;
}

/** A look, or an amount of nothing, as it is weighed: oil was there, or none. */
export interface Sighting {
  seen: 'clean' | 'oil';
  /** v0: oil of this volume leaves no sign with chance 1/e; and the chance that a look was misread. */
  noticeLitres: number;
  misread: number;
}

/** Litres held in the structure, above 0, and the factor within which that is right two times in three. */
export interface Measured {
  seen: 'amount';
  litres: number;
  factor: number;
}

/** Litres that a zone was seen to release, and their factor. */
export interface Witnessed {
  seen: 'event';
  litres: number;
  factor: number;
}

/** What was seen at a structure or on a zone's ground, and in which window of time; `source` is as it stands in the file. */
export type Finding = Window & (Sighting | Measured | Witnessed) & { source: FindingSource };

/** Findings that can be used, and every problem of the file; a finding with an error is left out, and the others are kept. */
export interface FindingsReading {
  findings: Finding[];
  problems: Problem[];
}

/** A year is 365.25 days. */
export const MS_PER_YEAR = 365.25 * 24 * 3600 * 1000;

/**
 * Reads the text of a findings file against a site map, with every problem in it. Never throws for bad input. O(text).
 *
 * The text is JSON of version 1 of the findings format. Times without a zone are of the site's time zone, else UTC. Problems of the
 * whole file are `not-json`, `too-large`, `too-deep` and `not-findings`, and then no finding comes back; a wrong `format` or `version` is
 * told, and the findings are read all the same; a key that stands twice is the warning `duplicate-key`. Those of one finding are
 * `missing-field`, `bad-field`, `bad-window`, `duplicate-id`, `unknown-id`, `amount-on-ground` and `holds-nothing`, and keep that
 * finding alone from coming back. Each finding is held against the map, so the findings are good for this map only.
 *
 * @example
 * import { readSiteMap } from 'oilshed/site-map';
 * import { readFindings } from 'oilshed/sources';
 * const lid = { type: 'Feature', id: 'CB-1', properties: { kind: 'catch-basin' }, geometry: { type: 'Point', coordinates: [-105, 40] } };
 * const site = { format: 'oilshed-site', version: 1 };
 * const { map } = readSiteMap(JSON.stringify({ type: 'FeatureCollection', site, features: [lid] }));
 * const look = { id: 'F-1', at: 'CB-1', since: '2026-03-01', seenAt: '2026-05-30', seen: 'sheen' };
 * const text = JSON.stringify({ format: 'oilshed-findings', version: 1, findings: [look, { ...look, id: 'F-2', at: 'CB-2' }] });
 * const { findings, problems } = readFindings(text, map);
 * findings.map(({ id, seen }) => [id, seen]); // → [['F-1', 'oil']]
 * problems.map(({ code, id }) => [code, id]); // → [['unknown-id', 'F-2']]
 */
export function readFindings(text: string, map: SiteMap): FindingsReading {
  const { value, problems } = parseJson(text, 'warn');
  if (value === undefined) return { findings: [], problems };
  const reading = findingsIn(value, map);
  return { ...reading, problems: [...problems, ...reading.problems] };
}

/** As `readFindings`, for a file that is an object already, such as JSON that came in a request. O(findings). */
export function findingsIn(value: unknown, map: SiteMap): FindingsReading {
  if (!isObject(value) || !Array.isArray(value.findings)) {
    const form = '{ "format": "oilshed-findings", "version": 1, "findings": [ … ] }';
    const words = { message: told('sources.no-list'), cure: told('map.write', { allowed: form }) };
    return { findings: [], problems: [problem('not-findings', { id: null, field: null }, words)] };
  }
  const problems = explain(findingsFileSchema, { ...value, findings: [] }, null);
  const places: Places = {
    structures: new Map(map.structures.map((structure) => [structure.id, structure])),
    zones: new Set(map.zones.map(({ id }) => id)),
  };
  const ids = new Set<string>();
  const findings: Finding[] = [];
  value.findings.forEach((raw: unknown, at: number) => {
    const given = isObject(raw) ? raw.id : undefined;
    const id =
      typeof given === 'string' && given !== '' ? given : told('sources.finding-number', { place: String(at + 1) });
    const found = problemsOf(raw, id);
    if (found.length === 0) {
      const source = raw as FindingSource;
      const { window, problems: times } = windowOf(source, map.site.timeZone ?? 'UTC');
      found.push(...times, ...placeProblems(source, places));
      if (ids.has(source.id)) found.push(secondOf(source.id));
      ids.add(source.id);
      if (found.length === 0) findings.push({ ...window, ...saidIn(source, places.structures.get(source.at)), source });
    }
    problems.push(...found);
  });
  return { findings, problems };
}

interface Places {
  structures: ReadonlyMap<string, Structure>;
  zones: ReadonlySet<string>;
}

function secondOf(id: string): Problem {
  const words = { message: told('sources.same-id'), found: show(id), cure: told('sources.same-id-remedy') };
  return problem('duplicate-id', { id, field: 'id' }, words);
}

/**
 * What is wrong with a finding by itself: what it says comes first, since that tells which fields it must have. A finding that says
 * nothing, or several things, is told so in one sentence and held against what all findings have in common.
 */
function problemsOf(raw: unknown, id: string | Told): Problem[] {
  const form = explain(formOf(raw), raw, id);
  if (typeof raw !== 'object' || raw === null) return form;
  const { amount } = raw as { amount?: unknown };
  const ways = waysOf(raw);
  if (ways.length !== 1) {
    const quoted = (fields: readonly string[]) => fields.map((field) => `"${field}"`);
    const fields = quoted(FINDING_WAYS).join(', ');
    const message =
      ways.length === 0
        ? told('sources.says-nothing', { fields })
        : told('sources.says-several', { fields: { list: quoted(ways) } });
    const allowed = told('sources.exactly-one', { fields });
    const words = { message, allowed, cure: told('sources.keep-observed') };
    return [...form, problem('bad-field', { id, field: 'seen' }, words)];
  }
  const forms = typeof amount === 'object' && amount !== null ? formsOf(amount) : [];
  if (forms.length <= 1) return form;
  const message = told('sources.amount-ways', { count: forms.length, forms: forms.join(', ') });
  const words = { message, allowed: told('sources.one-of-them'), cure: told('sources.keep-measured') };
  return [...form.filter(({ field }) => field !== 'amount'), problem('bad-field', { id, field: 'amount' }, words)];
}

/**
 * v0 where a finding states none, litres, and how often a look is wrong: clean said where a sign was, oil said where there was
 * none. Guesses. Neither chance is 0, so that no single look can rule out what everything else speaks for.
 */
export const DEFAULT_NOTICE_LITRES = 0.1;
export const DEFAULT_MISREAD = { clean: 0.05, oil: 0.03 };

type Said = Sighting | Measured | Witnessed;

/**
 * What a finding says, as it is weighed: words become clean or oil, amounts litres with a factor, and an amount of nothing a clean look
 * that would have noticed about 1 mm. Fields that are kept and not weighed stay in `source` alone.
 */
function saidIn(source: FindingSource, structure: Structure | undefined): Said {
  if (source.event)
    return { seen: 'event', litres: source.event.litres, factor: source.event.factor ?? DEFAULT_FACTOR };
  if (source.amount) {
    const { litres, factor } = amountOf(source.amount);
    if (litres > 0) return { seen: 'amount', litres, factor };
    return sightingOf('clean', source, structure ? leastMeasured(source.amount, structure) : DEFAULT_NOTICE_LITRES);
  }
  return sightingOf(saysOil(source.seen) ? 'oil' : 'clean', source, DEFAULT_NOTICE_LITRES);
}

function sightingOf(seen: Sighting['seen'], { noticeLitres, misread }: FindingSource, ownNotice: number): Sighting {
  return { seen, noticeLitres: noticeLitres ?? ownNotice, misread: misread ?? DEFAULT_MISREAD[seen] };
}

/**
 * An amount of nothing says that under 1 mm of oil stood there, of what its structure holds. 1 mm on A m² is A litres held, and
 * A ÷ `holds` litres that entered; that is the v0 of a clean look. A log-normal has no density at 0, so nothing cannot be an amount.
 */
function leastMeasured(amount: Amount, structure: Structure): number {
  return (amount.areaM2 ?? planAreaOf(structure) ?? DEFAULT_NOTICE_LITRES) / holdsOf(structure);
}

/** The window in which what was found was released, with what is wrong with it; a date that is none stands as 0 beside its problem. */
function windowOf({ id, at, since, seenAt }: FindingSource, timeZone: string): { window: Window; problems: Problem[] } {
  const [sinceMs, seenAtMs] = [instantOf(since, timeZone), instantOf(seenAt, timeZone)];
  const problems: Problem[] = [];
  for (const [field, text, instant] of [
    ['since', since, sinceMs],
    ['seenAt', seenAt, seenAtMs],
  ] as const) {
    if (instant !== undefined) continue;
    const found = show(text);
    const [message, allowed] = [told('sources.no-date', { text: found }), told('sources.date')];
    const cure = told('sources.date-remedy', { day: '"2026-05-30"', time: '"2026-05-30T14:05:00-06:00"' });
    problems.push(problem('bad-window', { id, field }, { message, found, allowed, cure }));
  }
  if (sinceMs !== undefined && seenAtMs !== undefined && sinceMs >= seenAtMs) {
    const found = show(since);
    const message = told('sources.window-backwards', { since: found, seenAt: show(seenAt) });
    const [allowed, cure] = [told('sources.before-seen'), told('sources.since-remedy')];
    problems.push(problem('bad-window', { id, field: 'since' }, { message, found, allowed, cure }));
  }
  const [start, end] = [sinceMs ?? 0, seenAtMs ?? 0];
  return { window: { id, at, sinceMs: start, seenAtMs: end, years: (end - start) / MS_PER_YEAR }, problems };
}

/** What is written where oil was seen and not measured. */
const SEEN_OIL = '"seen": "oil"';

/** A structure that holds less than this holds nothing that could be measured; litres held are divided by it to tell what entered. */
const LEAST_HOLDS = 1e-6;

/** What is wrong with where it was found: amounts stay in structures that hold something back, releases are seen in zones. */
function placeProblems(source: FindingSource, { structures, zones }: Places): Problem[] {
  const { id, at, amount, event } = source;
  if (zones.has(at)) {
    if (amount === undefined) return [];
    const message = told('sources.amount-on-ground', { at });
    const cure = told('sources.write-oil', { field: SEEN_OIL });
    const words = { message, found: told('sources.an-amount'), allowed: '"seen"', cure };
    return [problem('amount-on-ground', { id, field: 'amount' }, words)];
  }
  const structure = structures.get(at);
  if (!structure) {
    const near = [...structures.keys()].sort(byId).slice(0, 3).join(', ');
    const words = {
      message: told('sources.unknown-place', { id: show(at) }),
      found: show(at),
      allowed: told('sources.place-allowed', { ids: near }),
      cure: idRemedy(at, structures.keys(), told('sources.place-remedy')),
    };
    return [problem('unknown-id', { id, field: 'at' }, words)];
  }
  if (event !== undefined) {
    const words = {
      message: told('sources.event-in-structure', { at }),
      found: show(at),
      allowed: told('map.id-of', { named: 'zone' }),
      cure: told('sources.event-remedy'),
    };
    return [problem('bad-field', { id, field: 'at' }, words)];
  }
  if (amount === undefined || holdsOf(structure) >= LEAST_HOLDS) return [];
  const message = told('sources.holds-nothing', { at });
  const cure = told('sources.holds-remedy', { field: SEEN_OIL, holds: '"holds"', at });
  const words = { message, found: told('sources.an-amount'), allowed: '"seen"', cure };
  return [problem('holds-nothing', { id, field: 'amount' }, words)];
}

/**
 * What a finding says was held in its structure, litres and their factor: an amount, or nothing for a clean look; null where it was
 * not measured, as for oil that was only seen. O(1).
 *
 * @example
 * import { heldIn } from 'oilshed/sources';
 * const source = { id: 'F-1', at: 'CB-1', since: '2026-03-01', seenAt: '2026-05-30', seen: 'clean' as const };
 * const window = { id: 'F-1', at: 'CB-1', sinceMs: 0, seenAtMs: 1, years: 3e-11 };
 * heldIn({ ...window, seen: 'clean', noticeLitres: 0.1, misread: 0.05, source }); // → { litres: 0, factor: 1 }
 */
export function heldIn(finding: Finding): { litres: number; factor: number } | null {
  switch (finding.seen) {
    case 'amount':
      return { litres: finding.litres, factor: finding.factor };
    case 'clean':
      return { litres: 0, factor: 1 };
    case 'oil':
    case 'event':
      return null;
    default:
      return finding satisfies never;
  }
}
