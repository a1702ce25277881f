import { told } from '../catalogue/index.ts';
import { problem } from '../site-map/index.ts';
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
import { sha256 } from './photos.ts';
import { newToken } from './sessions.ts';
import { ROLES, type Role } from './tables.ts';
import type { Answer } from './transaction.ts';

/** A token as it is listed: whose, what it is called, and what it may do. */
export interface ListedToken {
  person: string;
  name: string;
  role: Role;
  made: string;
}

/** What programs sign in with, for a person and under a name. `account` is who does it. Every method may throw a StoreFault. */
export interface Tokens {
  /** Makes a token; its text is in this answer and nowhere else. Its role is at most the person's own. */
  makeToken(
    token: { person: string; name: string; role: Role },
    account?: string | null,
  ): Promise<Answer<ListedToken & { token: string }>>;
  /** Of one person or of everybody, by person and name. */
  tokens(of?: string): Promise<ListedToken[]>;
  endToken(token: { person: string; name: string }, account?: string | null): Promise<Answer<ListedToken>>;
  /** Who a token stands for, with the lesser of its role and theirs; null where there is none, or its person is gone. */
  tokenHolder(token: string): Promise<Person | null>;
}

/** Found by who looks through files for tokens that should not be there. */
const MARK = 'oilshed_';
const hashOf = (token: string) => sha256(Buffer.from(token));
const MOST_TOKENS = 50;

const lesser = (one: Role, other: Role): Role => (ROLES.indexOf(one) < ROLES.indexOf(other) ? one : other);

export function tokensIn({ database, now, look, write }: PeopleAccess): Tokens {
  const { db } = database;
  const listed = db
    .selectFrom('tokens')
    .innerJoin('people', 'people.id', 'tokens.person')
    .select(['people.name as person', 'tokens.name', 'tokens.role', 'tokens.made']);
  return {
    async makeToken({ person, name, role }, account = null) {
      const wrong = [...nameProblems(name), ...roleProblems(role)];
      if (wrong.length > 0) return refuse(...wrong);
      const made = now();
      const token = MARK + newToken().token;
      return write(async (tx) => {
        const there = await personNamed(tx, person, database.kind);
        if (!there) return refuse(unknownPerson(person));
        if (lesser(role, there.role) !== role) return refuse(overRole(there, role));
        const others = await tx.selectFrom('tokens').select('name').where('person', '=', there.id).execute();
        if (others.some((other) => other.name === name)) return refuse(taken(name));
        if (others.length >= MOST_TOKENS) return refuse(tooMany(there.name));
        await record(tx, database, { event: 'token-made', name: there.name, token: name, role }, { at: made, account });
        await tx
          .insertInto('tokens')
          .values({ token: hashOf(token), person: there.id, name, role, made })
          .execute();
        return { accepted: { person: there.name, name, role, made, token }, problems: [] };
      });
    },

    tokens: (of) =>
      look(() =>
        listed
          .$if(of !== undefined, (query) => query.where('people.id', '=', idOf(String(of))))
          .orderBy('people.id')
          .orderBy('tokens.name')
          .execute(),
      ),

    endToken: ({ person, name }, account = null) =>
      write(async (tx) => {
        const there = await personNamed(tx, person);
        if (!there) return refuse(unknownPerson(person));
        const query = tx.deleteFrom('tokens').where('person', '=', there.id).where('name', '=', name);
        const [ended] = await query.returning(['role', 'made']).execute();
        if (!ended) return refuse(unknownToken(there.name, name));
        await record(tx, database, { event: 'token-ended', name: there.name, token: name }, { at: now(), account });
        return { accepted: { person: there.name, name, ...ended }, problems: [] };
      }),

    async tokenHolder(token) {
      const query = db
        .selectFrom('tokens')
        .innerJoin('people', 'people.id', 'tokens.person')
        .select(['people.name', 'people.role', 'tokens.role as its'])
        .where('tokens.token', '=', hashOf(token));
      const found = await look(() => query.executeTakeFirst());
      return found ? { name: found.name, role: lesser(found.its, found.role) } : null;
    },
  };
}

const overRole = ({ name, role }: Person, wanted: Role) =>
  problem(
    'bad-field',
    { id: name, field: 'role' },
    {
      message: told('store.token-over-role', { role: wanted, name }),
      allowed: ROLES.slice(0, ROLES.indexOf(role) + 1).join(', '),
      cure: told('store.token-over-role-remedy', { role }),
    },
  );

const taken = (name: string) =>
  problem(
    'name-taken',
    { id: name, field: 'name' },
    { message: told('store.token-taken'), cure: told('store.token-taken-remedy') },
  );

const tooMany = (person: string) =>
  problem(
    'bad-field',
    { id: person, field: null },
    { message: told('store.token-too-many', { most: MOST_TOKENS }), cure: told('store.token-too-many-remedy') },
  );

const unknownToken = (person: string, name: string) =>
  problem(
    'unknown-id',
    { id: name, field: null },
    { message: told('store.no-token', { person }), cure: told('store.no-token-remedy') },
  );
