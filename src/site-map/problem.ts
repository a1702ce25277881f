import { type Told, told, type Voice } from '../catalogue/index.ts';

/** What can be wrong with an input, each with its severity. `docs/errors.md` explains every code; a test holds the two together. */
export const PROBLEM_CODES = {
  'not-json': 'error',
  'other-format': 'error',
  'too-large': 'error',
  'too-deep': 'error',
  'not-a-site-map': 'error',
  'bad-field': 'error',
  'missing-field': 'error',
  'unknown-kind': 'error',
  'duplicate-id': 'error',
  'duplicate-key': 'warning',
  'lookalike-id': 'warning',
  'hidden-characters': 'warning',
  'unknown-id': 'error',
  'projected-coordinates': 'error',
  'bad-time-zone': 'error',
  'open-ring': 'warning',
  'no-area': 'warning',
  'no-inlet': 'warning',
  'inlet-guessed': 'warning',
  'self-link': 'warning',
  'parallel-links': 'note',
  'shares-over': 'warning',
  'shares-under': 'warning',
  loop: 'warning',
  'dead-end': 'warning',
  uphill: 'warning',
  'goes-round': 'warning',
  'crosses-property-line': 'note',
  'far-apart': 'warning',
  'end-elsewhere': 'note',
  misspelt: 'note',
  'not-findings': 'error',
  'bad-window': 'error',
  'holds-nothing': 'error',
  'amount-on-ground': 'error',
  'no-finding': 'error',
  'not-counted': 'note',
  'no-zones': 'error',
  'no-spot': 'error',
  'too-many-kits': 'error',
  'no-plan': 'error',
  'no-way': 'warning',
  'no-pump': 'warning',
  'valve-unknown': 'warning',
  'no-kit': 'warning',
  'spots-guessed': 'note',
  'no-forecast': 'note',
  'bad-file': 'error',
  'bad-geometry': 'warning',
  'import-guess': 'note',
  'import-left-out': 'note',
  'unused-rule': 'warning',
  'entry-conflict': 'error',
  'chain-broken': 'error',
  'not-a-photo': 'error',
  'photo-missing': 'error',
  'photo-changed': 'error',
  'map-missing': 'error',
  'map-changed': 'error',
  'map-not-kept': 'warning',
  'export-changed': 'error',
  'no-heads': 'warning',
  'no-log-book': 'error',
  'photo-quota': 'error',
  'server-busy': 'error',
  'log-busy': 'error',
  'log-damaged': 'error',
  'log-behind': 'error',
  'log-unwritable': 'error',
  'not-installed': 'error',
  'bad-request': 'error',
  'record-left-out': 'note',
  'name-taken': 'error',
  'last-manager': 'error',
  'not-signed-in': 'error',
  'not-allowed': 'error',
  'password-outdated': 'error',
  'too-many-tries': 'error',
  'too-many-listeners': 'error',
  'other-origin': 'error',
  relayed: 'error',
  'not-found': 'error',
  fault: 'error',
} as const;

export type ProblemCode = keyof typeof PROBLEM_CODES;
export type Severity = 'error' | 'warning' | 'note';

/** One thing wrong with an input: where, what was found, what is allowed, and what to do about it. Its code says how bad it is. */
export type Problem<C extends ProblemCode = ProblemCode> = {
  [Each in C]: Report & { code: Each; severity: (typeof PROBLEM_CODES)[Each] };
}[C];

interface Report {
  /** The feature or finding, by its place in the file where it has no id; null when it is about the whole file. */
  id: string | Told | null;
  /** The field, as a path ("properties.drainsTo[1].to"); null when it is about the whole feature. */
  field: string | null;
  /** What is wrong, in one sentence without a full stop. */
  message: Told;
  /** What was found and what is allowed, where that can be told in a few words; a plain text is a value of the file or the format. */
  found?: string | Told;
  allowed?: string | Told;
  /** What to do, starting with a verb. */
  cure: Told;
}

/** A problem as one voice says it. */
export interface SaidProblem {
  code: ProblemCode;
  severity: Severity;
  id: string | null;
  field: string | null;
  message: string;
  found?: string;
  allowed?: string;
  cure: string;
}

/** A problem in words. */
export function sayProblem({ id, message, found, allowed, cure, ...rest }: Problem, voice: Voice): SaidProblem {
  return {
    ...rest,
    id: id === null ? null : voice.text(id),
    message: voice.text(message),
    ...(found !== undefined && { found: voice.text(found) }),
    ...(allowed !== undefined && { allowed: voice.text(allowed) }),
    cure: voice.text(cure),
  };
}

export function problem<C extends ProblemCode>(
  code: C,
  place: Pick<Report, 'id' | 'field'>,
  rest: Omit<Report, 'id' | 'field'>,
): Problem<C>;
export function problem(
  code: ProblemCode,
  place: Pick<Report, 'id' | 'field'>,
  rest: Omit<Report, 'id' | 'field'>,
): Report & { code: ProblemCode; severity: Severity } {
  return { code, severity: PROBLEM_CODES[code], ...place, ...rest };
}

export function hasErrors(problems: readonly Problem[]): boolean {
  return problems.some((each) => each.severity === 'error');
}

/** Any value as it is shown in a message: JSON, cut at 60 characters; what has parts is said in a word. */
export function shown(value: unknown): string | Told {
  if (value === undefined) return told('map.nothing');
  if (typeof value === 'object' && value !== null)
    return Array.isArray(value) ? told('map.list-of', { count: value.length }) : told('map.object');
  return cut(JSON.stringify(value) ?? String(value));
}

/** A text or a number as it is shown in a message: JSON, cut at 60 characters. */
export function show(value: string | number): string {
  return cut(JSON.stringify(value));
}

function cut(text: string): string {
  return text.length > 60 ? `${text.slice(0, 57)}...` : text;
}

/** The same problem is listed by name this many times; how often it comes up after that is counted. */
const LISTED_BY_NAME = 1000;

/** Adds problems to a list, folding endless repeats (same code, field and message) into one line with their number. */
export function problemList(problems: Problem[]): { add(each: Problem): void; close(): void } {
  const counts = new Map<string, { count: number; last: Problem }>();
  return {
    add(each) {
      const key = `${each.code} ${each.field} ${JSON.stringify(each.message)}`;
      const seen = counts.get(key) ?? { count: 0, last: each };
      seen.count++;
      seen.last = each;
      counts.set(key, seen);
      if (seen.count <= LISTED_BY_NAME) problems.push(each);
    },
    close() {
      for (const { count, last } of counts.values()) {
        const more = count - LISTED_BY_NAME;
        if (more > 0)
          problems.push({
            ...last,
            message: told('map.same-for-more', { message: last.message, more, first: LISTED_BY_NAME }),
          });
      }
    },
  };
}
