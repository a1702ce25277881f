import * as z from 'zod';
import { explain, FLUIDS, instantOf, type Problem, problem, show } from '../site-map/index.ts';
import { FINDING_WAYS, findingBodySchema, formOf, SEEN } from '../sources/index.ts';
import { conditionSchema } from '../upkeep/index.ts';
import { canonicalText } from './seal.ts';

/** An entry of the log book as its writer makes it, and what each kind says in its body. Unknown keys are kept. */

/** The longest canonical text of an entry, in UTF-16 units: some hundred pages. */
const LONGEST_ENTRY = 256_000;
/** How deep lists and objects may stand in each other. */
const DEEPEST = 32;
const MOST_PHOTOS = 100;

const uuid = z.string().regex(/^[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}$/, {
  error: 'a UUID in lower case, such as "0197218a-3c5e-7d61-9b0a-4f2c81d7e6a3"',
});
const sha256Text = z.string().regex(/^[0-9a-f]{64}$/, { error: 'a SHA-256 in lower-case hex, 64 digits' });
const time = z.string().refine((text) => instantOf(text, 'UTC') !== undefined, {
  error: 'a date, or a date and time, of ISO 8601, such as "2026-05-30T14:05:00-06:00"',
});
/** One line: no control characters, no blanks at its ends. */
const line = (longest: number) =>
  z.string().regex(new RegExp(`^(?!\\s)[^\\p{Cc}\\p{Cf}\\u2028\\u2029]{1,${longest}}(?<!\\s)$`, 'u'), {
    error: `a text of one line, 1 to ${longest} characters, no blanks at its ends`,
  });
const place = z.string().min(1);

const bodies = {
  visit: z.looseObject({
    at: place.optional().describe('the structure that was looked at'),
    since: time.optional().describe('when it was last emptied or known clean; left out, what the log book says'),
    seen: z.enum(SEEN).optional().describe('where no oil was measured'),
    condition: conditionSchema.optional(),
    note: z.string().optional(),
  }),
  finding: findingBodySchema,
  spill: z.looseObject({
    zone: place.optional(),
    point: z.array(z.number()).min(2, { error: 'a position: [longitude, latitude]' }).optional(),
    litres: z.number().min(0).max(1e9),
    fluid: z.enum(FLUIDS),
    reachedWater: z.boolean().optional(),
    called: z.unknown().optional().describe('who was called'),
    reference: z.string().optional().describe('the number that an authority gave the report'),
  }),
  action: z.looseObject({
    action: z.enum([
      'placed',
      'pump-out',
      'packs-changed',
      'swept',
      'debris-removed',
      'kit-checked',
      'training',
      'drill',
    ]),
    at: place.optional(),
    note: z.string().optional(),
  }),
  corrective: z.looseObject({
    due: time,
    closed: time.optional(),
    closes: uuid.optional().describe('with `closed`: the entry of the work that was done'),
    note: z.string(),
  }),
  sample: z.looseObject({
    at: place,
    results: z.union([z.array(z.unknown()), z.record(z.string(), z.unknown())], { error: 'a list or an object' }),
  }),
  correction: z.looseObject({ corrects: uuid.describe('an earlier entry of the same site'), note: z.string() }),
  map: z.looseObject({ sha256: sha256Text.describe('of the map’s file') }),
};

export type EntryKind = keyof typeof bodies;
export const ENTRY_KINDS = Object.keys(bodies) as EntryKind[];

const common = {
  id: uuid.describe('made by the writer, UUIDv7 for choice'),
  site: line(100),
  at: time.describe('when it happened; kept as written'),
  by: line(200).describe('who writes it'),
  photos: z
    .array(sha256Text)
    .max(MOST_PHOTOS, { error: `at most ${MOST_PHOTOS} photos` })
    .optional(),
};
const entryOf = <K extends EntryKind>(kind: K) =>
  z.looseObject({ ...common, kind: z.literal(kind), body: bodies[kind] });
/** A finding is held against the form of what it says, so that what is wrong is told field by field. */
const schemaOf = (kind: EntryKind, body: unknown): z.ZodType =>
  kind === 'finding' ? entryOf(kind).extend({ body: formOf(body, true) }) : entryOf(kind);
const anyEntry = z.looseObject({ ...common, body: z.looseObject({}) });

const [firstKind, ...otherKinds] = ENTRY_KINDS.map(entryOf);
/** Every kind of entry, for the API's description; `readEntry` is what checks one. */
export const entrySchema = z.discriminatedUnion('kind', [firstKind, ...otherKinds]);

/** What acceptance adds to an entry. */
export const sealShape = {
  seq: z.number().int().min(1).describe('1, 2, 3 … per site'),
  received: z.string().describe('when it was accepted, ISO 8601'),
  previous: sha256Text.nullable().describe('hash of the entry before; null for the first of its site'),
  hash: sha256Text.describe('SHA-256 of the RFC 8785 text of the entry with everything but hash'),
};

/** Acceptance adds this too; a sender's own is passed over, not refused, so that what was read can be sent again as it is. */
export const accountShape = {
  account: z
    .string()
    .nullish()
    .describe('who was signed in; null at the machine itself; missing in entries from before it was kept'),
};

export interface Entry {
  id: string;
  site: string;
  kind: EntryKind;
  at: string;
  by: string;
  body: Record<string, unknown>;
  photos?: string[];
}

export interface EntryReading {
  /** Undefined where there are problems. */
  entry?: Entry;
  problems: Problem[];
}

/**
 * Holds a value against the format of an entry, with every problem in it up to 200; the entry that comes back is the value itself.
 * A new one must also name its site in Unicode normal form C, so that no two chains have names that look the same; all
 * other text is kept as written, since hashes stand on it. Never throws for bad input. O(size of the value).
 */
export function readEntry(value: unknown): EntryReading {
  const reading = readAs('new', value);
  const { id = null, site = null } = reading.entry ?? {};
  const form = site?.normalize('NFC');
  if (form === undefined || form === site) return reading;
  const message = `${show(site)} is written with other characters than it looks`;
  const cure = `write ${show(form)} in Unicode normal form C`;
  return { problems: [problem('bad-field', { id, field: 'site' }, { message, found: show(site), cure })] };
}

/**
 * As `readEntry`, for an entry that a log book has taken before: what was allowed then stands, in its body and in the normal
 * form of its site. Whoever reads a body looks at each of its fields.
 */
export const readKeptEntry = (value: unknown): EntryReading => readAs('kept', value);

function readAs(age: 'new' | 'kept', value: unknown): EntryReading {
  const whole = { id: null, field: null };
  if (typeof value !== 'object' || value === null || Array.isArray(value)) {
    const words = { message: `it is ${show(value)}`, found: show(value), allowed: 'an entry' };
    return {
      problems: [problem('bad-field', whole, { ...words, cure: 'write { "id": …, "site": …, "kind": …, … }' })],
    };
  }
  const given = (value as { id?: unknown }).id;
  const id = typeof given === 'string' ? given : null;
  const unfit = unfitPart(value, id);
  if (unfit) return { problems: [unfit] };
  const { length } = canonicalText(value);
  if (length > LONGEST_ENTRY) return { problems: [tooLong(id, length)] };
  const found = [...kindProblems(value as Partial<Entry>, id), ...sealProblems(value, id)];
  const problems = age === 'kept' ? found.filter(({ field }) => !field?.startsWith('body.')) : found;
  return problems.length > 0 ? { problems: firstOf(problems, id) } : { entry: value as Entry, problems };
}

/** Nobody reads more problems of one entry than this. */
const MOST_PROBLEMS = 200;

function firstOf(problems: readonly Problem[], id: string | null): Problem[] {
  const left = problems.length - MOST_PROBLEMS;
  if (left <= 0) return [...problems];
  const message = `there are ${left} more problems in it`;
  const more = problem('bad-field', { id, field: null }, { message, cure: 'mend these first' });
  return [...problems.slice(0, MOST_PROBLEMS), more];
}

function kindProblems(value: Partial<Entry>, id: string | null): Problem[] {
  const { kind } = value;
  if (typeof kind === 'string' && Object.hasOwn(bodies, kind))
    return [...explain(schemaOf(kind, value.body), value, id), ...bodyProblems(value as Entry)];
  const allowed = `one of ${ENTRY_KINDS.join(', ')}`;
  const message = kind === undefined ? 'it is missing' : `${show(kind)} is no kind of entry`;
  return [
    problem('unknown-kind', { id, field: 'kind' }, { message, found: show(kind), allowed, cure: `write ${allowed}` }),
    ...explain(anyEntry, value, id),
  ];
}

/** Of these fields exactly one is written. */
const EITHER: Partial<Record<EntryKind, readonly string[]>> = { finding: FINDING_WAYS, spill: ['zone', 'point'] };

function bodyProblems({ id, kind, body }: Entry): Problem[] {
  const either = EITHER[kind];
  if (!either || typeof body !== 'object' || body === null) return [];
  const written = either.filter((field) => body[field] !== undefined);
  if (written.length === 1) return [];
  const quoted = (fields: readonly string[]) => fields.map((field) => `"${field}"`);
  const message =
    written.length === 0
      ? `it has neither ${quoted(either).join(' nor ')}`
      : `it has both ${quoted(written).join(' and ')}`;
  const words = {
    message,
    allowed: `exactly one of ${quoted(either).join(', ')}`,
    cure: 'keep the one that was observed',
  };
  return [problem('bad-field', { id, field: `body.${either[0]}` }, words)];
}

const sealProblems = (value: object, id: string | null): Problem[] =>
  Object.keys(sealShape).flatMap((field) => {
    if (!Object.hasOwn(value, field)) return [];
    const message = 'the log book writes it, not the sender';
    return [problem('bad-field', { id, field }, { message, allowed: 'nothing', cure: 'take it out' })];
  });

function tooLong(id: string | null, length: number): Problem {
  const found = `${length} characters`;
  const allowed = `at most ${LONGEST_ENTRY}`;
  const message = `the entry has ${found}`;
  return problem(
    'too-large',
    { id, field: null },
    { message, found, allowed, cure: 'write less, and add photos as photos' },
  );
}

/** The first part of a value that has no RFC 8785 text: nested too deep, a number out of range, half a character. */
function unfitPart(value: object, id: string | null): Problem | null {
  const open: { part: unknown; depth: number; field: string | null }[] = [{ part: value, depth: 0, field: null }];
  for (let at = open.pop(); at; at = open.pop()) {
    const { part, depth, field } = at;
    const refuse = (found: string, allowed: string) =>
      problem('bad-field', { id, field }, { message: `it is ${found}`, found, allowed, cure: `write ${allowed}` });
    if (typeof part === 'number' && !Number.isFinite(part))
      return refuse('a number too large to hold', 'a number under 1e308');
    if (typeof part === 'string' && HALF_CHARACTER.test(part))
      return refuse('broken text (half a character)', 'whole Unicode text');
    if (typeof part !== 'object' || part === null) continue;
    if (depth >= DEEPEST) return refuse(`nested over ${DEEPEST} deep`, 'a flatter form');
    for (const [key, inner] of Object.entries(part)) {
      if (HALF_CHARACTER.test(key)) return refuse('broken text (half a character) in a key', 'whole Unicode text');
      const path = Array.isArray(part) ? `${field ?? ''}[${key}]` : field === null ? key : `${field}.${key}`;
      open.push({ part: inner, depth: depth + 1, field: path });
    }
  }
  return null;
}

/** A surrogate without its other half; the flag makes whole pairs one character. */
const HALF_CHARACTER = /\p{Surrogate}/u;
