import { setTimeout as sleep } from 'node:timers/promises';
import { type Kysely, sql } from 'kysely';
import type { Problem } from '../site-map/index.ts';
import type { Database, Tables } from './tables.ts';

/** The answer to something that the book may refuse. */
export type Answer<T> = { accepted: T; problems: [] } | { accepted: null; problems: Problem[] };

/** Does work in one transaction, all or none. */
export async function inTransaction<T>(
  db: Kysely<Tables>,
  begin: Database['begin']['write'],
  work: (tx: Kysely<Tables>) => Promise<T>,
): Promise<T> {
  return db.connection().execute(async (tx) => {
    await begin.execute(tx);
    try {
      const result = await work(tx);
      await sql`commit`.execute(tx);
      return result;
    } catch (error) {
      // Where the connection itself broke there is nothing left to take back.
      await sql`rollback`.execute(tx).catch(() => {});
      throw error;
    }
  });
}

/** Tries again while others hold the book, up to the patience; then, and on anything else, throws what it means. */
export async function retryWhileBusy<T>(
  { isPassing, faultOf }: Pick<Database, 'isPassing' | 'faultOf'>,
  patienceMs: number,
  work: () => Promise<T>,
): Promise<T> {
  const until = performance.now() + patienceMs;
  for (;;) {
    try {
      return await work();
    } catch (error) {
      if (!isPassing(error) || performance.now() > until) throw faultOf(error);
      // Not in step with the others who wait.
      await sleep(2 + Math.random() * 20);
    }
  }
}
