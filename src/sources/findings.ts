import * as z from 'zod';
import { holdsOf } from '../drainage/index.ts';
import {
  byId,
  explain,
  FLUIDS,
  idCure,
  instantOf,
  type Problem,
  parseJson,
  problem,
  type SiteMap,
  type Structure,
  show,
} from '../site-map/index.ts';
import { amountOf } from './amounts.ts';

/** The findings format, version 1 (contract §2). */

const area = z.number().min(1e-6).max(1e9);
const volume = z.number().min(0).max(1e9);
const factor = z
  .number()
  .min(1)
  .max(1000)
  .optional()
  .describe('the true volume is within ×/÷ this two times in three; default 1.5');
const appearance = z.array(
  z.looseObject({
    code: z
      .number()
      .int()
      .min(1)
      .max(5)
      .describe('1 sheen, 2 rainbow, 3 metallic, 4 broken true colour, 5 true colour'),
    share: z.number().min(0).max(1).describe('part of the area that looks so'),
  }),
);
const amountSchema = z.union(
  [
    z.looseObject({ litres: volume, factor }),
    z.looseObject({ thicknessMm: z.number().min(0).max(1e5), areaM2: area, factor }),
    z.looseObject({ appearance: appearance.min(1), areaM2: area }),
    z.looseObject({
      socks: z.number().min(0).max(1e6),
      kgEach: z
        .number()
        .positive()
        .optional()
        .describe('kg of oil that each took up; left out, a guess for a full one'),
      factor,
    }),
  ],
  {
    error:
      '{ "litres": 5 }, { "thicknessMm": 3, "areaM2": 2.4 }, { "appearance": [{ "code": 3, "share": 0.1 }], "areaM2": 20 } or { "socks": 2, "kgEach": 1.5 }',
  },
);

const findingSchema = z.looseObject({
  id: z.string().min(1),
  at: z.string().min(1).describe('a structure, or a zone for its own ground'),
  since: z.string().min(1).describe('when the point was last known clean or was cleaned out'),
  seenAt: z.string().min(1),
  seen: z.enum(['clean', 'oil']).optional(),
  amount: amountSchema.optional().describe('oil held in the structure'),
  fluid: z.enum(FLUIDS).optional(),
  noticeLitres: z.number().min(1e-9).max(1e6).optional(),
  misread: z.number().min(0).max(1).optional(),
  rainMm: z.number().min(0).optional(),
  sludgeMm: z.number().min(0).max(1e5).optional().describe('mm of sediment'),
  sheenAtOutlet: z.boolean({ error: 'true or false' }).optional(),
  sorbent: z.enum(['fresh', 'used', 'soaked']).optional(),
});

export const findingsFileSchema = z.looseObject({
  format: z.literal('oilshed-findings'),
  version: z.literal(1),
  findings: z.array(findingSchema),
});

/** What was seen at a structure or on a zone's ground, and in which window of time. */
export interface Finding {
  id: string;
  /** A structure or zone; null for a look at the whole yard. */
  at: string | null;
  /** The window, ms since 1970, and its length in years of 365.25 days. */
  sinceMs: number;
  seenAtMs: number;
  years: number;
  /** What was seen; an amount of nothing is clean. `unseen` is a place nobody looked at. */
  seen: 'clean' | 'oil' | 'amount' | 'unseen';
  /** Litres held in the structure and its uncertainty factor; only with an amount above 0. */
  litres: number;
  factor: number;
  /** v0: oil of this volume leaves no sign with chance 1/e; and the chance that a look was misread. */
  noticeLitres: number;
  misread: number;
  source: z.infer<typeof findingSchema>;
}

export interface FindingsReading {
  findings: Finding[];
  problems: Problem[];
}

/** A year is 365.25 days (contract §2). */
export const MS_PER_YEAR = 365.25 * 24 * 3600 * 1000;

/** Reads a findings file against a site map, with every problem in it. Never throws for bad input. O(text). */
export function readFindings(text: string, map: SiteMap): FindingsReading {
  const { value, problems } = parseJson(text, 'warn');
  if (value === undefined) return { findings: [], problems };
  const file = value as { format?: unknown; version?: unknown; findings?: unknown };
  if (typeof value !== 'object' || value === null || !Array.isArray(file.findings)) {
    const message = 'it is JSON, but has no list of findings';
    const cure = 'write { "format": "oilshed-findings", "version": 1, "findings": [ … ] }';
    return { findings: [], problems: [problem('not-findings', { id: null, field: null }, { message, cure })] };
  }
  problems.push(...explain(findingsFileSchema, { ...file, findings: [] }, null));
  const places = new Map(map.structures.map((structure) => [structure.id, structure]));
  const zones = new Set(map.zones.map(({ id }) => id));
  const ids = new Set<string>();
  const findings: Finding[] = [];
  file.findings.forEach((raw: unknown, at: number) => {
    const given = typeof raw === 'object' && raw !== null ? (raw as { id?: unknown }).id : undefined;
    const id = typeof given === 'string' && given !== '' ? given : `finding ${at + 1}`;
    const found = explain(findingSchema, raw, id);
    if (found.length === 0) {
      const source = raw as z.infer<typeof findingSchema>;
      const { years, sinceMs, seenAtMs, problems: times } = windowOf(source, map.site.timeZone ?? 'UTC');
      found.push(...times, ...placeProblems(source, places, zones));
      if (ids.has(id)) {
        const message = 'two findings have this id';
        found.push(
          problem(
            'duplicate-id',
            { id, field: 'id' },
            { message, found: show(id), cure: 'give one of them another id' },
          ),
        );
      }
      ids.add(id);
      if (found.length === 0)
        findings.push({
          id,
          at: source.at,
          years,
          sinceMs,
          seenAtMs,
          ...seenIn(source, places.get(source.at)),
          source,
        });
    }
    problems.push(...found);
  });
  return { findings, problems };
}

/** v0 where a finding states none (contract §2), and how often a look is wrong (contract §5). */
export const DEFAULT_NOTICE_LITRES = 0.1;
export const DEFAULT_MISREAD = { clean: 0.05, oil: 0.03 };

type Seen = Pick<Finding, 'seen' | 'litres' | 'factor' | 'noticeLitres' | 'misread'>;

function seenIn(
  { seen, amount, noticeLitres, misread }: z.infer<typeof findingSchema>,
  structure: Structure | undefined,
): Seen {
  const { litres, factor: of } = amount ? amountOf(amount) : { litres: 0, factor: 1 };
  const what = amount === undefined ? (seen ?? 'clean') : litres > 0 ? 'amount' : 'clean';
  const ownNotice =
    amount === undefined || litres > 0 || !structure ? DEFAULT_NOTICE_LITRES : leastMeasured(amount, structure);
  return {
    seen: what,
    litres,
    factor: of,
    noticeLitres: noticeLitres ?? ownNotice,
    misread: misread ?? DEFAULT_MISREAD[what === 'oil' ? 'oil' : 'clean'],
  };
}

/** An amount of nothing says that under 1 mm of oil stood there, of what its structure holds (contract §5). */
function leastMeasured(amount: z.infer<typeof amountSchema>, structure: Structure): number {
  const { lengthM, widthM } = structure.properties as { lengthM?: number; widthM?: number };
  const areaM2 =
    (amount.areaM2 as number | undefined) ??
    (lengthM !== undefined && widthM !== undefined ? lengthM * widthM : undefined);
  return (areaM2 ?? DEFAULT_NOTICE_LITRES) / holdsOf(structure);
}

function windowOf({ id, since, seenAt }: z.infer<typeof findingSchema>, timeZone: string) {
  const [sinceMs, seenAtMs] = [instantOf(since, timeZone), instantOf(seenAt, timeZone)];
  const problems: Problem[] = [];
  for (const [field, text, instant] of [
    ['since', since, sinceMs],
    ['seenAt', seenAt, seenAtMs],
  ] as const) {
    if (instant !== undefined) continue;
    const allowed = 'a date, or a date and time, of ISO 8601';
    problems.push(
      problem(
        'bad-window',
        { id, field },
        {
          message: `${show(text)} is no date`,
          found: show(text),
          allowed,
          cure: 'write one such as "2026-05-30" or "2026-05-30T14:05:00-06:00"',
        },
      ),
    );
  }
  if (sinceMs !== undefined && seenAtMs !== undefined && sinceMs >= seenAtMs) {
    const message = `the point was last clean at ${show(since)}, which is not before it was seen at ${show(seenAt)}`;
    problems.push(
      problem(
        'bad-window',
        { id, field: 'since' },
        { message, found: show(since), allowed: 'a time before seenAt', cure: 'write when it was last known clean' },
      ),
    );
  }
  const [start, end] = [sinceMs ?? 0, seenAtMs ?? 0];
  return { years: (end - start) / MS_PER_YEAR, sinceMs: start, seenAtMs: end, problems };
}

/** A structure that holds less than this holds nothing that could be measured. */
const LEAST_HOLDS = 1e-6;

function placeProblems(
  { id, at, seen, amount }: z.infer<typeof findingSchema>,
  structures: ReadonlyMap<string, Structure>,
  zones: ReadonlySet<string>,
): Problem[] {
  const problems: Problem[] = [];
  if ((seen === undefined) === (amount === undefined)) {
    const message = seen === undefined ? 'it has neither "seen" nor "amount"' : 'it has both "seen" and "amount"';
    problems.push(
      problem(
        'bad-field',
        { id, field: 'seen' },
        { message, allowed: 'exactly one of the two', cure: 'keep the one that was observed' },
      ),
    );
  }
  if (zones.has(at)) {
    if (amount !== undefined) {
      const message = `an amount was found on the ground of ${at}, where none can be held`;
      problems.push(
        problem(
          'amount-on-ground',
          { id, field: 'amount' },
          { message, found: 'an amount', allowed: '"seen"', cure: 'write "seen": "oil" instead' },
        ),
      );
    }
    return problems;
  }
  const forms =
    amount === undefined ? [] : ['litres', 'thicknessMm', 'appearance', 'socks'].filter((form) => form in amount);
  if (forms.length > 1) {
    const message = `the amount is given in ${forms.length} ways: ${forms.join(', ')}`;
    problems.push(
      problem(
        'bad-field',
        { id, field: 'amount' },
        { message, allowed: 'one of them', cure: 'keep the one that was measured' },
      ),
    );
  }
  const structure = structures.get(at);
  if (structure && amount !== undefined && holdsOf(structure) < LEAST_HOLDS) {
    const message = `an amount was found in ${at}, which holds nothing back`;
    problems.push(
      problem(
        'holds-nothing',
        { id, field: 'amount' },
        {
          message,
          found: 'an amount',
          allowed: '"seen"',
          cure: `write "seen": "oil" instead, or state "holds" above 0 on ${at}`,
        },
      ),
    );
  }
  if (!structure) {
    const near = [...structures.keys()].sort(byId).slice(0, 3).join(', ');
    problems.push(
      problem(
        'unknown-id',
        { id, field: 'at' },
        {
          message: `no structure or zone has the id ${show(at)}`,
          found: show(at),
          allowed: `an id of the map, such as ${near}`,
          cure: idCure(at, structures.keys(), 'write the id of the structure or zone where it was seen'),
        },
      ),
    );
  }
  return problems;
}
