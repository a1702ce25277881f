import type { Kysely } from 'kysely';
import { LANGUAGES, loadMessages, told, voiceOf } from '../catalogue/index.ts';
import { type Problem, problem } from '../site-map/index.ts';
import { type Database, ROLES, type Role, type Tables } from './tables.ts';

export interface Person {
  name: string;
  role: Role;
}

/** How the parts of the store that know people work on the database. */
export interface PeopleAccess {
  database: Database;
  /** The clock, ISO 8601. */
  now: () => string;
  look<T>(work: () => Promise<T>): Promise<T>;
  write<T>(work: (tx: Kysely<Tables>) => Promise<T>): Promise<T>;
}

/** The name of whoever sits at the machine itself, while nobody has to sign in. */
export const THIS_MACHINE = 'this machine';

/** What people are told in its place, in each language; nobody may be called that. */
const OF_MACHINE = await Promise.all(
  LANGUAGES.map(async (language) =>
    voiceOf({ language, messages: await loadMessages(language) }).say('cli.this-machine'),
  ),
);

/** One line: no control characters, no blanks at its ends. */
const NAME = /^(?!\s)[^\p{Cc}\p{Cf}\u2028\u2029]{1,100}(?<!\s)$/u;

/** What a person is found by: names are the same whatever their capitals. */
export const idOf = (name: string) => name.normalize('NFKC').toLowerCase();

/** Who has a name. In PostgreSQL, given `hold`, nobody changes them until the transaction ends; in SQLite a writer is alone. */
export const personNamed = (tx: Kysely<Tables>, name: string, hold?: Database['kind']) =>
  tx
    .selectFrom('people')
    .selectAll()
    .where('id', '=', idOf(name))
    .$if(hold === 'postgres', (query) => query.forUpdate())
    .executeTakeFirst();

export const refuse = (...problems: Problem[]) => ({ accepted: null, problems });

/** What is wrong with a name: of a person, or with its own words of something else. */
export function nameProblems(name: string, field = 'name'): Problem[] {
  if (NAME.test(name) && !OF_MACHINE.includes(idOf(name))) return [];
  const allowed = told('store.name-allowed');
  const message = NAME.test(name) ? told('store.name-of-machine') : told('store.no-name');
  return [problem('bad-field', { id: name, field }, { message, allowed, cure: told('map.write', { allowed }) })];
}

export function roleProblems(role: Role): Problem[] {
  if (ROLES.includes(role)) return [];
  const allowed = told('map.one-of', { words: ROLES.join(', ') });
  const words = { message: told('store.no-role'), allowed, cure: told('map.write', { allowed }) };
  return [problem('bad-field', { id: null, field: 'role' }, words)];
}

export const unknownPerson = (name: string) =>
  problem(
    'unknown-id',
    { id: name, field: null },
    { message: told('store.nobody'), cure: told('store.nobody-remedy') },
  );
