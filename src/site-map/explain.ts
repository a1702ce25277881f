import type * as z from 'zod';
import { type Problem, problem, show } from './problem.ts';
import { memberOf } from './unknown.ts';

const TYPE_WORDS: Record<string, string> = {
  string: 'a text in quotes',
  number: 'a number',
  boolean: 'true or false',
  array: 'a list',
  object: 'an object',
  record: 'an object',
};

/** Says what a schema allows at the place of an issue, for use after "write …". Texts given in the schema itself win over these. */
const allowedWords: z.core.$ZodErrorMap = (issue) => {
  switch (issue.code) {
    case 'invalid_type':
      return TYPE_WORDS[issue.expected] ?? issue.expected;
    case 'invalid_value':
      return issue.values.length === 1
        ? JSON.stringify(issue.values[0])
        : `one of ${issue.values.map((each) => String(each)).join(', ')}`;
    case 'too_small':
      if (issue.origin === 'string') return 'a text that is not empty';
      if (issue.origin === 'array') return `a list of ${issue.minimum} or more`;
      return issue.inclusive ? `a number of ${issue.minimum} or more` : `a number above ${issue.minimum}`;
    case 'too_big':
      return `a number of ${issue.maximum} or less`;
    default:
      return undefined;
  }
};

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

/** What a schema says of a value; null where there are more complaints than the stack can take on. */
function parsed(schema: z.ZodType, value: unknown) {
  try {
    return schema.safeParse(value, { error: allowedWords });
  } catch (error) {
    if (error instanceof RangeError) return null;
    throw error;
  }
}

/**
 * Holds a value against a schema and returns every problem found, none if it fits. The value itself is what later
 * code uses, so nothing in it is lost, copied or changed.
 */
export function explain(schema: z.ZodType, value: unknown, id: string | null): Problem[] {
  const result = parsed(schema, value);
  if (result === null) {
    const message = 'so much of it is wrong that it cannot be listed';
    return [problem('bad-field', { id, field: null }, { message, cure: 'hold it against the format, and mend it' })];
  }
  if (result.success) return [];
  const { issues } = result.error;
  // Of several complaints about one value the first says it all.
  const first = issues.filter((issue, at) => at === 0 || issue.path.join('\n') !== issues[at - 1].path.join('\n'));
  return first.map((issue) => {
    const found = valueAt(value, issue.path);
    const field = fieldOf(issue.path);
    const allowed = issue.message;
    return found === undefined
      ? problem(
          'missing-field',
          { id, field },
          { message: 'it is missing', found: 'nothing', allowed, cure: `add it: ${allowed}` },
        )
      : problem(
          'bad-field',
          { id, field },
          { message: `it is ${show(found)}`, found: show(found), allowed, cure: `write ${allowed}` },
        );
  });
}
