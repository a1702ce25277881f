import { createHmac, randomBytes } from 'node:crypto';
import type { Kysely } from 'kysely';
import { type Problem, problem } from '../site-map/index.ts';
import { hashOf, isPassword, passwordProblems } from './passwords.ts';
import { countRefused, type PeopleRecord, peopleRecordIn, record } from './people-record.ts';
import { idOf, nameProblems, type Person, personNamed, refuse, roleProblems, unknownPerson } from './person.ts';
import { beginSession, type Sessions, sessionsIn } from './sessions.ts';
import type { Database, Role, Tables } from './tables.ts';
import { type Tokens, tokensIn } from './tokens.ts';
import { type Answer, inTransaction, patiently } from './transaction.ts';

/**
 * Who may sign in to the log book, and who has. Names are compared without regard to case. `account` is the name of who does
 * something, for the record; null for the machine itself. Every method may throw a StoreFault.
 */
export interface People extends Sessions, Tokens {
  record: PeopleRecord;
  /** By name, each with the time it was added. */
  list(): Promise<(Person & { added: string })[]>;
  /** Whether nobody may sign in yet. */
  isEmpty(): Promise<boolean>;
  hasManager(): Promise<boolean>;
  add(person: Person & { password: string }, account?: string | null): Promise<Answer<Person>>;
  /** Takes somebody out, and ends their sessions and tokens. The last manager goes last. */
  remove(name: string, account?: string | null): Promise<Answer<Person>>;
  /** Gives somebody another role. There is always a manager while there has been one. */
  setRole(name: string, role: Role, account?: string | null): Promise<Answer<Person & { before: Role }>>;
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

/** `changed` is called after each commit, as the record may have gone on. */
export function peopleIn(
  database: Database,
  { now, patienceMs, changed }: { now: () => string; patienceMs: number; changed: () => Promise<void> },
): People {
  const { db } = database;
  const look = <T>(work: () => Promise<T>) => patiently(database, patienceMs, work);
  const write = async <T>(work: (tx: Kysely<Tables>) => Promise<T>) => {
    const done = await look(() => inTransaction(db, database.begin.write, work));
    await changed();
    return done;
  };
  const access = { database, now, look, write };
  const has = async (role?: Role) => {
    const query = db.selectFrom('people').select('id').limit(1);
    return (await look(() => (role ? query.where('role', '=', role) : query).execute())).length > 0;
  };

  return {
    ...sessionsIn(access),
    ...tokensIn(access),
    record: peopleRecordIn(database, patienceMs),
    list: () => look(() => db.selectFrom('people').select(['name', 'role', 'added']).orderBy('id').execute()),
    isEmpty: async () => !(await has()),
    hasManager: () => has('manager'),

    async add({ name, role, password }, account = null) {
      const wrong = [...nameProblems(name), ...roleProblems(role), ...(await passwordProblems({ name, password }))];
      if (wrong.length > 0) return refuse(...wrong);
      const hashed = await hashOf(password);
      return write(async (tx) => {
        const there = await personNamed(tx, name);
        if (there) return refuse(taken(there.name));
        const added = now();
        await record(tx, database, { event: 'added', name, role }, { at: added, account });
        await tx
          .insertInto('people')
          .values({ id: idOf(name), name, role, password: hashed, added })
          .execute();
        return { accepted: { name, role }, problems: [] };
      });
    },

    remove: (name, account = null) =>
      write(async (tx) => {
        const isLast = await lastManagerIn(tx, database);
        const there = await personNamed(tx, name);
        if (!there) return refuse(unknownPerson(name));
        if (isLast(there.id) && (await othersThan(tx, there.id))) return refuse(lastManager(there.name));
        const { role } = there;
        await record(tx, database, { event: 'removed', name: there.name, role }, { at: now(), account });
        await tx.deleteFrom('people').where('id', '=', there.id).execute();
        return { accepted: { name: there.name, role }, problems: [] };
      }),

    async setRole(name, role, account = null) {
      const wrong = roleProblems(role);
      if (wrong.length > 0) return refuse(...wrong);
      return write(async (tx) => {
        const isLast = await lastManagerIn(tx, database);
        const there = await personNamed(tx, name);
        if (!there) return refuse(unknownPerson(name));
        const { id, role: before } = there;
        if (role !== before) {
          if (isLast(id)) return refuse(lastManager(there.name));
          await record(tx, database, { event: 'role-changed', name: there.name, role, before }, { at: now(), account });
          await tx.updateTable('people').set({ role }).where('id', '=', id).execute();
        }
        return { accepted: { name: there.name, role, before }, problems: [] };
      });
    },

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

/** Whether somebody is the only manager: all are held, so that of two managers who take each other out one stays. */
async function lastManagerIn(tx: Kysely<Tables>, { kind }: Database): Promise<(id: string) => boolean> {
  const managers = tx.selectFrom('people').select('id').where('role', '=', 'manager');
  const held = await (kind === 'postgres' ? managers.forUpdate() : managers).execute();
  return (id) => held.length === 1 && held[0].id === id;
}

const othersThan = (tx: Kysely<Tables>, id: string) =>
  tx.selectFrom('people').select('id').where('id', '<>', id).limit(1).executeTakeFirst();

const taken = (name: string): Problem =>
  problem(
    'name-taken',
    { id: name, field: 'name' },
    { message: 'somebody has this name already', cure: 'write another, or give that one a new password' },
  );

const lastManager = (name: string): Problem =>
  problem(
    'last-manager',
    { id: name, field: null },
    {
      message: 'there is no other manager',
      cure: 'make somebody else a manager first, or remove everybody else first',
    },
  );

const wrongPassword = (name: string): Problem =>
  problem(
    'bad-field',
    { id: name, field: 'password' },
    { message: 'it is not the password there is now', cure: 'write the one that you sign in with' },
  );

const samePassword = (name: string): Problem =>
  problem(
    'bad-field',
    { id: name, field: 'newPassword' },
    { message: 'it is the password there is now', cure: 'take another' },
  );
