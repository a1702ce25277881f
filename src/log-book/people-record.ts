import * as z from 'zod';
import { type Told, told } from '../catalogue/index.ts';
import { type Problem, problem } from '../site-map/index.ts';
import { sha256Schema } from './id-format.ts';
import { canonicalText, hashOf, type Sha256 } from './seal.ts';

/**
 * The record of who may sign in: a chain of its own beside those of the sites, sealed as entries are. It never holds a
 * password, a token, or a hash of one.
 */

const sealShape = {
  seq: z.number().int().min(1),
  /** When it happened, by the clock of the log book. */
  at: z.string(),
  /** Who did it; null at the machine itself. */
  account: z.string().nullable(),
  previous: sha256Schema.nullable(),
  hash: sha256Schema,
};
const event = <E extends string, S extends z.ZodRawShape>(word: E, shape: S) =>
  z.strictObject({ ...sealShape, event: z.literal(word), ...shape });

const [name, role, token] = [z.string(), z.string(), z.string()];
const count = z.number().int().min(1);

const peopleEventSchema = z.discriminatedUnion('event', [
  /** Who was there already when the record began, in books that are older than it. */
  event('begun', { people: z.array(z.strictObject({ name, role })) }),
  event('added', { name, role }),
  event('removed', { name, role }),
  event('role-changed', { name, role, before: role }),
  event('password-changed', { name }),
  event('token-made', { name, token, role }),
  event('token-ended', { name, token }),
  /** An older copy of the log book was put in its place, and this accepted: the last entries there were, which it lacks. */
  event('older-copy-accepted', {
    lost: z.array(z.strictObject({ chain: z.string(), seq: z.number().int(), hash: sha256Schema })),
  }),
  /** How many sign-ins were refused in an hour, and how many of those were for people of this log book. */
  event('sign-ins-refused', { hour: z.string(), count, people: z.array(z.strictObject({ name, count })) }),
]);

export type PeopleEvent = z.infer<typeof peopleEventSchema>;
type WithoutSeal<E> = E extends unknown ? Omit<E, keyof typeof sealShape> : never;
/** What happened, before it has its place in the record. */
export type PeopleChange = WithoutSeal<PeopleEvent>;

/** An event as a store keeps it. */
export interface StoredPeopleEvent {
  seq: number;
  text: string;
}

/** The end of the record. */
export interface PeopleHead {
  seq: number;
  hash: string | null;
}

/** The older copies of a log book that were accepted, by its record. */
export const olderCopiesAccepted = (stored: readonly StoredPeopleEvent[]) =>
  stored.flatMap(({ text }) => {
    const read = readPeopleEvent(text);
    return read?.event === 'older-copy-accepted' ? [{ at: read.at, lost: read.lost }] : [];
  });

/** An event of the record from its text; null where the text holds none. */
export function readPeopleEvent(text: string): PeopleEvent | null {
  try {
    return peopleEventSchema.safeParse(JSON.parse(text)).data ?? null;
  } catch {
    return null;
  }
}

/** The text and the hash of a change at its place in the record. */
export function sealPeopleChange(
  change: PeopleChange,
  seal: Pick<PeopleEvent, 'seq' | 'at' | 'account' | 'previous'>,
  sha256: Sha256,
): { text: string; hash: string } {
  const unsealed = { ...change, ...seal };
  const hash = hashOf(unsealed, sha256);
  return { text: canonicalText({ ...unsealed, hash }), hash };
}

/**
 * Looks through a whole record for anything that was changed, is missing or out of order, held against the head that is
 * kept apart; and gives back who may sign in by it, by name with role. O(text).
 */
export function checkPeopleRecord(
  stored: readonly StoredPeopleEvent[],
  head: PeopleHead,
  sha256: Sha256,
): { problems: Problem[]; roles: ReadonlyMap<string, string> } {
  const problems: Problem[] = [];
  const roles = new Map<string, string>();
  let before: PeopleHead = { seq: 0, hash: null };
  for (const { seq, text } of stored) {
    const read = readPeopleEvent(text);
    const here = { seq: String(seq) };
    if (seq !== before.seq + 1)
      problems.push(broken('seq', told('log-book.event-missing', { seq: String(before.seq + 1) })));
    if (read === null) problems.push(broken(null, told('log-book.event-unreadable', here)));
    else if (canonicalText(read) !== text || read.seq !== seq || hashOf(read, sha256) !== read.hash)
      problems.push(broken('hash', told('log-book.event-rewritten', here)));
    else if (read.previous !== before.hash) problems.push(broken('previous', told('log-book.event-unlinked', here)));
    if (read !== null) take(read, roles);
    before = { seq, hash: read?.hash ?? null };
  }
  if (head.seq !== before.seq) {
    const ends = { seq: String(before.seq), head: String(head.seq) };
    problems.push(broken('seq', told('log-book.record-head-count', ends)));
  } else if (head.hash !== before.hash) problems.push(broken('hash', told('log-book.record-head-hash')));
  return { problems, roles };
}

/** What is wrong with a whole record by itself, as it comes in an export. O(text). */
export function peopleRecordProblems(texts: readonly string[], sha256: Sha256): Problem[] {
  const stored = texts.map((text, at) => ({ seq: at + 1, text }));
  const head = { seq: texts.length, hash: readPeopleEvent(texts.at(-1) ?? '')?.hash ?? null };
  return checkPeopleRecord(stored, head, sha256).problems;
}

/** Those who may sign in though the record does not say so, or with another role than it says. */
export function unrecordedPeople(
  roles: ReadonlyMap<string, string>,
  people: readonly { name: string; role: string }[],
): Problem[] {
  return people
    .filter((person) => roles.get(person.name) !== person.role)
    .map(({ name, role }) => broken(null, told('log-book.unrecorded', { name, role })));
}

function take(read: PeopleEvent, roles: Map<string, string>): void {
  if (read.event === 'begun') for (const person of read.people) roles.set(person.name, person.role);
  else if (read.event === 'added' || read.event === 'role-changed') roles.set(read.name, read.role);
  else if (read.event === 'removed') roles.delete(read.name);
}

const broken = (field: string | null, message: Told): Problem =>
  problem('chain-broken', { id: null, field }, { message, cure: told('log-book.compare-export') });
