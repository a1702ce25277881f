import * as z from 'zod';
import { type Told, told } from '../catalogue/index.ts';
import { explain, isObject, type Problem, problem, show, shown } from '../site-map/index.ts';
import { bodies, bodySchemaOf, ENTRY_KINDS, type EntryKind, ONE_OF } from './bodies.ts';
import type { Entry, NewEntry, SealedEntry } from './entry.ts';
import { accountShape, common, sealShape } from './entry-format.ts';
import { canonicalText } from './seal.ts';

/**
 * The one place where a value from outside becomes an entry: from a writer (`readEntry`), from an export
 * (`readSealedEntry`), or from what the log book itself has kept (`keptEntry`). No code after it doubts a body.
 */

/** The longest canonical text of an entry, in UTF-16 units: some hundred pages. */
export const LONGEST_ENTRY = 256_000;
/** How deep lists and objects may stand in each other. */
const DEEPEST = 32;

const anyEntry = z.looseObject({ ...common, body: z.looseObject({}) });

/** An entry, or what is wrong with the value that was to be one. */
export interface EntryReading {
  /** Undefined where there are problems. */
  entry?: NewEntry;
  problems: Problem[];
}

/**
 * Holds a value against the format of an entry, with every problem in it up to 200; the entry that comes back is the value itself.
 * A new one must also name its site in Unicode normal form C, so that no two chains have names that look the same; all
 * other text is kept as written, since hashes stand on it. Never throws for bad input. O(size of the value).
 */
export function readEntry(value: unknown): EntryReading {
  const problems = problemsOf(value);
  if (problems.length > 0 || !hasShape(entryShape, value) || !isFit(value))
    return { problems: firstOf(problems, idIn(value)) };
  const { id, site } = value;
  const form = site.normalize('NFC');
  if (form === site) return { entry: value, problems };
  const found = show(site);
  const message = told('log-book.site-looks-other', { site: found });
  const cure = told('log-book.site-looks-other-remedy', { site: show(form) });
  return { problems: [problem('bad-field', { id, field: 'site' }, { message, found, cure })] };
}

/**
 * What is wrong with an entry that a log book has taken before, seal aside: what was allowed in bodies and in the normal
 * form of sites then stands.
 */
export function keptProblems(value: unknown): Problem[] {
  const problems = problemsOf(value).filter(({ field }) => !field?.startsWith('body.'));
  return firstOf(problems, idIn(value));
}

/** What every entry that was ever taken has; its body is looked at apart. */
const entryShape = z.looseObject({
  ...common,
  at: z.string(),
  by: z.string(),
  photos: z.array(z.string()).optional(),
  kind: z.string(),
  body: z.unknown(),
});
const sealedShape = entryShape.extend({ ...sealShape, ...accountShape });

/** An entry that was kept before it was sealed, as it is read; null where the value holds none. O(size of the value). */
export const keptEntry = (value: unknown): Entry | null => (hasShape(entryShape, value) ? asRead(value) : null);

/** A sealed entry that was kept, as it is read; null where the value holds none. That it is sound is for the chain's check. */
export const keptSealedEntry = (value: unknown): SealedEntry | null =>
  hasShape(sealedShape, value) ? asRead(value) : null;

/** The schemas change nothing, so that what fits one is of its type. */
const hasShape = <S extends typeof entryShape>(schema: S, value: unknown): value is z.output<S> =>
  schema.safeParse(value).success;

type Shaped = z.output<typeof entryShape>;

function asRead<V extends Shaped>(value: V) {
  if (isFit(value)) return value;
  const { kind, body } = value;
  return { ...value, kind: 'unfit' as const, body: { kind, body } };
}

const isKind = (kind: unknown): kind is EntryKind => ENTRY_KINDS.some((each) => each === kind);

/** Whether the body of an entry fits its kind. */
const isFit = <V extends Shaped>(value: V): value is V & NewEntry =>
  isKind(value.kind) &&
  bodies[value.kind].safeParse(value.body).success &&
  oneOfProblems(value.kind, value.body, null).length === 0;

const idIn = (value: unknown): string | null => (isObject(value) && typeof value.id === 'string' ? value.id : null);

function problemsOf(value: unknown): Problem[] {
  const whole = { id: null, field: null };
  if (!isObject(value)) {
    const found = shown(value);
    const words = { message: told('map.it-is', { found }), found, allowed: told('log-book.an-entry') };
    const cure = told('map.write', { allowed: '{ "id": …, "site": …, "kind": …, … }' });
    return [problem('bad-field', whole, { ...words, cure })];
  }
  const id = idIn(value);
  const unfit = unfitPart(value, id);
  if (unfit) return [unfit];
  const { length } = canonicalText(value);
  if (length > LONGEST_ENTRY) return [tooLong(id, length)];
  return [...kindProblems(value, id), ...sealProblems(value, id)];
}

/** Nobody reads more problems of one entry than this. */
const MOST_PROBLEMS = 200;

function firstOf(problems: readonly Problem[], id: string | null): Problem[] {
  const left = problems.length - MOST_PROBLEMS;
  if (left <= 0) return [...problems];
  const words = {
    message: told('log-book.more-problems', { count: left }),
    cure: told('log-book.more-problems-remedy'),
  };
  return [...problems.slice(0, MOST_PROBLEMS), problem('bad-field', { id, field: null }, words)];
}

function kindProblems(value: Record<string, unknown>, id: string | null): Problem[] {
  const { kind } = value;
  if (isKind(kind))
    return [
      ...explain(anyEntry.extend({ body: bodySchemaOf(kind, value.body) }), value, id),
      ...oneOfProblems(kind, value.body, id),
    ];
  const found = shown(kind);
  const allowed = told('map.one-of', { words: ENTRY_KINDS.join(', ') });
  const message = kind === undefined ? told('map.missing') : told('log-book.kind-unknown', { kind: found });
  const cure = told('map.write', { allowed });
  return [
    problem('unknown-kind', { id, field: 'kind' }, { message, found, allowed, cure }),
    ...explain(anyEntry, value, id),
  ];
}

/** What is wrong where of several fields exactly one is to be written. */
function oneOfProblems(kind: EntryKind, body: unknown, id: string | null): Problem[] {
  const fields = ONE_OF[kind];
  if (!fields || !isObject(body)) return [];
  const written = fields.filter((field) => body[field] !== undefined).map((field) => `"${field}"`);
  if (written.length === 1) return [];
  const [one] = fields;
  const all = fields.map((field) => `"${field}"`).join(', ');
  const message =
    written.length === 0
      ? told('sources.says-nothing', { fields: all })
      : told('log-book.has-several', { fields: { list: written } });
  const [allowed, cure] = [told('sources.exactly-one', { fields: all }), told('sources.keep-observed')];
  return [problem('bad-field', { id, field: `body.${one}` }, { message, allowed, cure })];
}

const sealProblems = (value: object, id: string | null): Problem[] =>
  Object.keys(sealShape).flatMap((field) => {
    if (!Object.hasOwn(value, field)) return [];
    const words = { message: told('log-book.sealed-by-book'), cure: told('log-book.sealed-by-book-remedy') };
    return [problem('bad-field', { id, field }, { ...words, allowed: told('map.nothing') })];
  });

function tooLong(id: string | null, length: number): Problem {
  const message = told('log-book.too-long', { count: length });
  const found = told('log-book.characters', { count: length });
  const allowed = told('map.at-most', { most: LONGEST_ENTRY });
  const cure = told('log-book.too-long-remedy');
  return problem('too-large', { id, field: null }, { message, found, allowed, cure });
}

/** The first part of a value that has no RFC 8785 text: nested too deep, a number out of range, half a character. */
function unfitPart(value: object, id: string | null): Problem | null {
  const open: { part: unknown; depth: number; field: string | null }[] = [{ part: value, depth: 0, field: null }];
  for (let at = open.pop(); at; at = open.pop()) {
    const { part, depth, field } = at;
    const refuse = (found: Told, allowed: Told) => {
      const words = { message: told('map.it-is', { found }), cure: told('map.write', { allowed }) };
      return problem('bad-field', { id, field }, { ...words, found, allowed });
    };
    if (typeof part === 'number' && !Number.isFinite(part))
      return refuse(told('log-book.number-too-large'), told('map.number-below', { most: '1e308' }));
    if (typeof part === 'string' && HALF_CHARACTER.test(part))
      return refuse(told('log-book.half-character'), told('log-book.whole-text'));
    if (typeof part !== 'object' || part === null) continue;
    if (depth >= DEEPEST) return refuse(told('log-book.too-deep', { deepest: DEEPEST }), told('log-book.flatter'));
    for (const [key, inner] of Object.entries(part)) {
      if (HALF_CHARACTER.test(key)) return refuse(told('log-book.half-character-key'), told('log-book.whole-text'));
      const path = Array.isArray(part) ? `${field ?? ''}[${key}]` : field === null ? key : `${field}.${key}`;
      open.push({ part: inner, depth: depth + 1, field: path });
    }
  }
  return null;
}

/** A surrogate without its other half; the flag makes whole pairs one character. */
const HALF_CHARACTER = /\p{Surrogate}/u;
