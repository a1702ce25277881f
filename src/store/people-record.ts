import type { Kysely } from 'kysely';
import { told } from '../catalogue/index.ts';
import {
  checkPeopleRecord,
  type PeopleChange,
  type PeopleHead,
  peopleRecordProblems,
  readPeopleEvent,
  type StoredPeopleEvent,
  sealPeopleChange,
  unrecordedPeople,
} from '../log-book/index.ts';
import { type Problem, problem } from '../site-map/index.ts';
import { sha256 } from './photos.ts';
import type { Database, Tables } from './tables.ts';
import { type Answer, inTransaction, retryWhileBusy } from './transaction.ts';

/** Who was let in, with which role, and who was not: the record of people, and what it is read by. */
export interface PeopleRecord {
  /** The record in its order, as texts. O(its length). */
  texts(): Promise<StoredPeopleEvent[]>;
  head(): Promise<PeopleHead>;
  /** Refused sign-ins that are not in the record yet, as those of this hour. */
  refusedLately(): Promise<number>;
  /**
   * Takes over the record of another copy of this log book, all or none; events that are here already are passed over. One
   * that goes another way than the record here is refused.
   */
  takeOver(texts: readonly string[]): Promise<Answer<{ added: number; present: number }>>;
}

/** What is wrong with the record, and with who may sign in held against it. For the log book's own `verify`. */
export interface RecordVerified {
  /** How many events it has. */
  events: number;
  head: PeopleHead;
  problems: Problem[];
}

/** Who did something, and when (ISO 8601). */
export interface Act {
  at: string;
  account: string | null;
}

export function peopleRecordIn(database: Database, patienceMs: number): PeopleRecord {
  const { db } = database;
  const look = <T>(work: () => Promise<T>) => retryWhileBusy(database, patienceMs, work);
  return {
    texts: () => look(() => textsIn(db)),
    head: () => look(() => peopleHeadIn(db)),
    async refusedLately() {
      const rows = await look(() => db.selectFrom('refused_sign_ins').select('count').execute());
      return rows.reduce((sum, { count }) => sum + count, 0);
    },
    takeOver: (texts) => look(() => inTransaction(db, database.begin.write, (tx) => takeOverIn(tx, database, texts))),
  };
}

const textsIn = (db: Kysely<Tables>): Promise<StoredPeopleEvent[]> =>
  db.selectFrom('people_events').select(['seq', 'event as text']).orderBy('seq').execute();

export const peopleHeadIn = async (db: Kysely<Tables>): Promise<PeopleHead> =>
  (await db.selectFrom('people_head').select(['seq', 'hash']).executeTakeFirst()) ?? { seq: 0, hash: null };

/** Looks through the record and the people there are, in a transaction that sees them as they stand. O(record). */
export async function verifyPeople(tx: Kysely<Tables>): Promise<RecordVerified> {
  const [texts, head] = [await textsIn(tx), await peopleHeadIn(tx)];
  const { problems, roles } = checkPeopleRecord(texts, head, sha256);
  // A log book that is older than the record has none until somebody is next added, removed or changed.
  const people = head.seq === 0 ? [] : await tx.selectFrom('people').select(['name', 'role']).orderBy('id').execute();
  return { events: texts.length, head, problems: [...problems, ...unrecordedPeople(roles, people)] };
}

/** Writes down a change, in the transaction that makes it and before it is made. */
export async function record(tx: Kysely<Tables>, database: Database, change: PeopleChange, doing: Act): Promise<void> {
  let head = await holdHead(tx, database);
  if (head.seq === 0) {
    const people = await tx.selectFrom('people').select(['name', 'role']).orderBy('id').execute();
    if (people.length > 0) head = await append(tx, head, { event: 'begun', people }, { ...doing, account: null });
  }
  head = await sealRefused(tx, head, doing.at);
  await append(tx, head, change, doing);
}

/** The end of the record, held against other writers until the transaction ends. */
async function holdHead(tx: Kysely<Tables>, { kind }: Database): Promise<PeopleHead> {
  await tx
    .insertInto('people_head')
    .values({ id: 1, seq: 0, hash: null })
    .onConflict((conflict) => conflict.column('id').doNothing())
    .execute();
  return tx
    .selectFrom('people_head')
    .select(['seq', 'hash'])
    .$if(kind === 'postgres', (query) => query.forUpdate())
    .executeTakeFirstOrThrow();
}

async function append(
  tx: Kysely<Tables>,
  head: PeopleHead,
  change: PeopleChange,
  { at, account }: Act,
): Promise<PeopleHead> {
  const seq = head.seq + 1;
  const { text, hash } = sealPeopleChange(change, { seq, at, account, previous: head.hash }, sha256);
  return keep(tx, { seq, text, hash });
}

async function keep(
  tx: Kysely<Tables>,
  { seq, text, hash }: StoredPeopleEvent & { hash: string },
): Promise<PeopleHead> {
  await tx.insertInto('people_events').values({ seq, event: text }).execute();
  await tx.updateTable('people_head').set({ seq, hash }).where('id', '=', 1).execute();
  return { seq, hash };
}

/** "2026-06-01T08:00Z" of any time within that hour. */
const hourOf = (at: string) => `${at.slice(0, 13)}:00Z`;

/** Counts one more refused sign-in of this hour, under the name of a person or, where nobody has the name, under none. */
export async function countRefused(tx: Kysely<Tables>, at: string, person: string): Promise<void> {
  await tx
    .insertInto('refused_sign_ins')
    .values({ hour: hourOf(at), person, count: 1 })
    .onConflict((conflict) =>
      conflict.columns(['hour', 'person']).doUpdateSet((each) => ({ count: each('refused_sign_ins.count', '+', 1) })),
    )
    .execute();
}

/** Moves the counts of hours that are over into the record. */
export async function sealFinishedHours(tx: Kysely<Tables>, database: Database, at: string): Promise<void> {
  const finished = tx.selectFrom('refused_sign_ins').select('hour').where('hour', '<', hourOf(at)).limit(1);
  if ((await finished.execute()).length > 0) await sealRefused(tx, await holdHead(tx, database), at);
}

async function sealRefused(tx: Kysely<Tables>, before: PeopleHead, at: string): Promise<PeopleHead> {
  let head = before;
  const now = hourOf(at);
  const rows = await tx
    .deleteFrom('refused_sign_ins')
    .where('hour', '<', now)
    .returning(['hour', 'person', 'count'])
    .execute();
  for (const hour of [...new Set(rows.map((row) => row.hour))].sort()) {
    const ofHour = rows.filter((row) => row.hour === hour);
    const people = ofHour
      .filter(({ person }) => person !== '')
      .map(({ person, count }) => ({ name: person, count }))
      .sort((a, b) => (a.name < b.name ? -1 : 1));
    const count = ofHour.reduce((sum, row) => sum + row.count, 0);
    head = await append(tx, head, { event: 'sign-ins-refused', hour, count, people }, { at, account: null });
  }
  return head;
}

async function takeOverIn(
  tx: Kysely<Tables>,
  database: Database,
  texts: readonly string[],
): Promise<Answer<{ added: number; present: number }>> {
  let head = await holdHead(tx, database);
  const here = await textsIn(tx);
  const present = Math.min(here.length, texts.length);
  const isOther =
    (head.seq === 0 && (await hasPeople(tx))) || texts.slice(0, present).some((text, at) => text !== here[at].text);
  const problems = peopleRecordProblems(texts, sha256);
  if (problems.length > 0) return { accepted: null, problems };
  if (isOther) return { accepted: null, problems: [otherRecord()] };
  for (const text of texts.slice(present)) {
    const event = readPeopleEvent(text);
    if (event !== null) head = await keep(tx, { seq: head.seq + 1, text, hash: event.hash });
  }
  return { accepted: { added: texts.length - present, present }, problems: [] };
}

const hasPeople = async (tx: Kysely<Tables>) =>
  (await tx.selectFrom('people').select('id').limit(1).execute()).length > 0;

const otherRecord = () =>
  problem(
    'record-left-out',
    { id: null, field: null },
    {
      message: told('store.record-left-out'),
      cure: told('store.record-left-out-remedy'),
    },
  );
