import type { Kysely } from 'kysely';
import { type PeopleRecord, peopleRecordIn } from './people-record.ts';
import { type Roster, rosterIn } from './roster.ts';
import { type Secrets, secretsIn } from './secrets.ts';
import { type Sessions, sessionsIn } from './sessions.ts';
import type { Database, Tables } from './tables.ts';
import { type Tokens, tokensIn } from './tokens.ts';
import { inTransaction, retryWhileBusy } from './transaction.ts';

/**
 * Who may sign in to the log book, and who has. Names are compared without regard to case. `account` is the name of who does
 * something, for the record; null for the machine itself. Every method may throw a StoreFault.
 */
export interface People extends Roster, Secrets, Sessions, Tokens {
  record: PeopleRecord;
}

/** `changed` is called after each commit, as the record may have gone on. */
export function peopleIn(
  database: Database,
  { now, patienceMs, changed }: { now: () => string; patienceMs: number; changed: () => Promise<void> },
): People {
  const { db } = database;
  const look = <T>(work: () => Promise<T>) => retryWhileBusy(database, patienceMs, work);
  const write = async <T>(work: (tx: Kysely<Tables>) => Promise<T>) => {
    const done = await look(() => inTransaction(db, database.begin.write, work));
    await changed();
    return done;
  };
  const access = { database, now, look, write };
  return {
    ...rosterIn(access),
    ...secretsIn(access),
    ...sessionsIn(access),
    ...tokensIn(access),
    record: peopleRecordIn(database, patienceMs),
  };
}
