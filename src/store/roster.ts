import type { Kysely } from 'kysely';
import { told } from '../catalogue/index.ts';
import { type Problem, problem } from '../site-map/index.ts';
import { hashOf, passwordProblems } from './passwords.ts';
import { record } from './people-record.ts';
import {
  idOf,
  nameProblems,
  type PeopleAccess,
  type Person,
  personNamed,
  refuse,
  roleProblems,
  unknownPerson,
} from './person.ts';
import type { Database, Role, Tables } from './tables.ts';
import type { Answer } from './transaction.ts';

/** Who may sign in, and as what. Every method may throw a StoreFault. */
export interface Roster {
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
}

export function rosterIn({ database, now, look, write }: PeopleAccess): Roster {
  const { db } = database;
  const has = async (role?: Role) => {
    const query = db.selectFrom('people').select('id').limit(1);
    return (await look(() => (role ? query.where('role', '=', role) : query).execute())).length > 0;
  };

  return {
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
  };
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
    { message: told('store.name-taken'), cure: told('store.name-taken-remedy') },
  );

const lastManager = (name: string): Problem =>
  problem(
    'last-manager',
    { id: name, field: null },
    { message: told('store.last-manager'), cure: told('store.last-manager-remedy') },
  );
