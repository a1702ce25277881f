import type * as z from 'zod';
import { type Told, told } from '../catalogue/index.ts';
import { type Problem, problem, shown } from './problem.ts';
import { memberOf } from './unknown.ts';

const TYPE_WORDS: Readonly<Record<string, Told>> = {
  string: told('map.text'),
  number: told('map.number'),
  int: told('map.whole-number'),
  boolean: told('map.true-or-false'),
  array: told('map.list'),
  object: told('map.object'),
  record: told('map.object'),
};

/** What schemas say themselves of what they allow, by the text that zod carries for it. */
const ownWords = new Map<string, Told>();

/**
 * What a schema allows, for use after "write …", to be given to zod as its error. Zod carries nothing but texts, so `explain` finds
 * the message again by the text that stands for it.
 */
export function allows(message: Told): { error: string } {
  const error = JSON.stringify(message);
  ownWords.set(error, message);
  return { error };
}

type Allowed = string | Told;

/** Says what a schema allows at the place of an issue, for use after "write …". What the schema says itself wins. */
function allowedBy(issue: z.core.$ZodIssue): Allowed {
  const own = ownWords.get(issue.message);
  if (own) return own;
  switch (issue.code) {
    case 'invalid_type':
      return TYPE_WORDS[issue.expected] ?? told('map.as-format-asks');
    case 'invalid_value':
      return issue.values.length === 1
        ? JSON.stringify(issue.values[0])
        : told('map.one-of', { words: issue.values.map((each) => String(each)).join(', ') });
    case 'too_small':
      return atLeast(issue);
    case 'too_big':
      return atMost(issue);
    default:
      return told('map.as-format-asks');
  }
}

function atLeast({ origin, minimum, inclusive }: z.core.$ZodIssueTooSmall): Told {
  if (origin === 'string') return told('map.text-not-empty');
  if (origin === 'array') return told('map.list-at-least', { least: Number(minimum) });
  const least = String(minimum);
  return inclusive ? told('map.number-at-least', { least }) : told('map.number-above', { least });
}

function atMost({ origin, maximum, inclusive }: z.core.$ZodIssueTooBig): Told {
  const most = Number(maximum);
  if (origin === 'string') return told('map.text-at-most', { most });
  if (origin === 'array') return told('map.list-at-most', { most });
  return inclusive
    ? told('map.number-at-most', { most: String(maximum) })
    : told('map.number-below', { most: String(maximum) });
}

/** A path as people write it: the map's `properties` is left out, list places stand in brackets. */
export function fieldOf(path: readonly PropertyKey[]): string | null {
  const steps = path[0] === 'properties' && path.length > 1 ? path.slice(1) : path;
  if (steps.length === 0) return null;
  return steps
    .map((step, at) => (typeof step === 'number' ? `[${step}]` : `${at > 0 ? '.' : ''}${String(step)}`))
    .join('');
}

function valueAt(value: unknown, path: readonly PropertyKey[]): unknown {
  let here = value;
  for (const step of path) here = memberOf(here, step);
  return here;
}

/** Keeps zod from words of its own where the schema has none: they are English. */
const NO_WORDS = { error: () => '' };

/** What a schema says of a value; null where there are more complaints than the stack can take on. */
function parsed(schema: z.ZodType, value: unknown) {
  try {
    return schema.safeParse(value, NO_WORDS);
  } catch (error) {
    if (error instanceof RangeError) return null;
    throw error;
  }
}

/**
 * Holds a value against a schema and returns every problem found, none if it fits. The value itself is what later
 * code uses, so nothing in it is lost, copied or changed.
 */
export function explain(schema: z.ZodType, value: unknown, id: string | Told | null): Problem[] {
  const result = parsed(schema, value);
  if (result === null) {
    const rest = { message: told('map.too-much-wrong'), cure: told('map.hold-against-format') };
    return [problem('bad-field', { id, field: null }, rest)];
  }
  if (result.success) return [];
  const { issues } = result.error;
  // Of several complaints about one value the first says it all.
  const first = issues.filter((issue, at) => at === 0 || issue.path.join('\n') !== issues[at - 1].path.join('\n'));
  return first.map((issue) => {
    const given = valueAt(value, issue.path);
    const place = { id, field: fieldOf(issue.path) };
    const [found, allowed] = [shown(given), allowedBy(issue)];
    return given === undefined
      ? problem('missing-field', place, {
          message: told('map.missing'),
          found,
          allowed,
          cure: told('map.add-it', { allowed }),
        })
      : problem('bad-field', place, {
          message: told('map.it-is', { found }),
          found,
          allowed,
          cure: told('map.write', { allowed }),
        });
  });
}
