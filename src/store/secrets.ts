import { createHmac, randomBytes } from 'node:crypto';
import type { Kysely } from 'kysely';
import { told } from '../catalogue/index.ts';
import { type Problem, problem } from '../site-map/index.ts';
import { hashOf, isPassword, passwordProblems } from './passwords.ts';
import { countRefused, record } from './people-record.ts';
import { type PeopleAccess, type Person, personNamed, refuse, unknownPerson } from './person.ts';
import { beginSession } from './sessions.ts';
import type { Database, Tables } from './tables.ts';
import type { Answer } from './transaction.ts';

/** New passwords, and the keys that end with one. Every method may throw a StoreFault. */
export interface Secrets {
  /** Gives somebody another password, and ends their sessions and tokens: whoever had them may be somebody else. */
  setPassword(name: string, password: string, account?: string | null): Promise<Answer<Person>>;
  /** Gives oneself another password, and ends one's other sessions: the token of the one that goes on is new. */
  changePassword(
    name: string,
    passwords: { now: string; next: string },
    agent?: string,
  ): Promise<Answer<{ token: string }>>;
  /**
   * Somebody's key for a text, that only this log book can make: 64 hex digits, the same each time until they get a new
   * password or are taken out. Null where nobody has the name.
   */
  keyFor(name: string, text: string): Promise<string | null>;
}

export function secretsIn({ database, now, look, write }: PeopleAccess): Secrets {
  const { db } = database;
  return {
    async setPassword(name, password, account = null) {
      const wrong = await passwordProblems({ name, password });
      if (wrong.length > 0) return refuse(...wrong);
      const hashed = await hashOf(password);
      return write(async (tx) => {
        const there = await personNamed(tx, name);
        if (!there) return refuse(unknownPerson(name));
        await newPassword(tx, database, { person: there, hashed }, { at: now(), account });
        await tx.deleteFrom('tokens').where('person', '=', there.id).execute();
        return { accepted: { name: there.name, role: there.role }, problems: [] };
      });
    },

    async changePassword(name, passwords, agent) {
      const there = await look(() => personNamed(db, name));
      if (!there) return refuse(unknownPerson(name));
      if (!(await isPassword(there.password, passwords.now))) {
        await write((tx) => countRefused(tx, now(), there.name));
        return refuse(wrongPassword(there.name));
      }
      const isSame = passwords.next.normalize('NFC') === passwords.now.normalize('NFC');
      const next = { name: there.name, password: passwords.next };
      const wrong = isSame ? [samePassword(there.name)] : await passwordProblems(next, 'newPassword');
      if (wrong.length > 0) return refuse(...wrong);
      const hashed = await hashOf(passwords.next);
      return write(async (tx) => {
        // It may have been changed meanwhile.
        const still = await personNamed(tx, name, database.kind);
        if (still?.password !== there.password) return refuse(wrongPassword(there.name));
        const at = now();
        await newPassword(tx, database, { person: still, hashed }, { at, account: still.name });
        return { accepted: { token: await beginSession(tx, { person: still.id, at, agent }) }, problems: [] };
      });
    },

    async keyFor(name, text) {
      const there = await look(() => personNamed(db, name));
      if (!there) return null;
      const fresh = { name: 'keys', secret: randomBytes(32).toString('hex') };
      const secret = () => db.selectFrom('secrets').select('secret').where('name', '=', fresh.name).executeTakeFirst();
      const kept = await look(async () => {
        const before = await secret();
        if (before) return before;
        await db
          .insertInto('secrets')
          .values(fresh)
          .onConflict((conflict) => conflict.column('name').doNothing())
          .execute();
        return secret();
      });
      return createHmac('sha256', Buffer.from(String(kept?.secret), 'hex'))
        .update(JSON.stringify([there.id, there.password, text]))
        .digest('hex');
    },
  };
}

async function newPassword(
  tx: Kysely<Tables>,
  database: Database,
  { person: { id, name }, hashed }: { person: { id: string; name: string }; hashed: string },
  doing: { at: string; account: string | null },
): Promise<void> {
  await record(tx, database, { event: 'password-changed', name }, doing);
  await tx.updateTable('people').set({ password: hashed }).where('id', '=', id).execute();
  await tx.deleteFrom('sessions').where('person', '=', id).execute();
}

const wrongPassword = (name: string): Problem =>
  problem(
    'bad-field',
    { id: name, field: 'password' },
    { message: told('store.wrong-password'), cure: told('store.wrong-password-remedy') },
  );

const samePassword = (name: string): Problem =>
  problem(
    'bad-field',
    { id: name, field: 'newPassword' },
    { message: told('store.same-password'), cure: told('store.same-password-remedy') },
  );
