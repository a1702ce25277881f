import { createHmac, randomBytes } from 'node:crypto';
import { createRequire } from 'node:module';
import type { Kysely } from 'kysely';
import { type Problem, problem } from '../../site-map/index.ts';
import { notInstalled } from './fault.ts';
import { type Answer, patiently } from './log-store.ts';
import { sha256 } from './photos.ts';
import { type Database, ROLES, type Role, type Tables } from './tables.ts';

export interface Person {
  name: string;
  role: Role;
}

export interface Session {
  person: Person;
  /** Whether a day of its time is gone, or more. */
  isDayOld: boolean;
}

/** Who may sign in to the log book, and who has. Names are compared without regard to case. Every method may throw a StoreFault. */
export interface People {
  /** By name, each with the time it was added. */
  list(): Promise<(Person & { added: string })[]>;
  /** Whether nobody may sign in yet. */
  isEmpty(): Promise<boolean>;
  hasManager(): Promise<boolean>;
  add(person: Person & { password: string }): Promise<Answer<Person>>;
  /** Takes somebody out, and ends their sessions. The last manager goes last. */
  remove(name: string): Promise<Answer<Person>>;
  /** Gives somebody another password, and ends their sessions. */
  setPassword(name: string, password: string): Promise<Answer<Person>>;
  /** Begins a session: its token, 256 random bits in hex. Null for a wrong password and, after as much work, for an unknown name. */
  signIn(name: string, password: string): Promise<{ person: Person; token: string } | null>;
  /** The session with this token; null where there is none or it has ended. */
  session(token: string): Promise<Session | null>;
  /** Gives a session its whole time again. */
  prolong(token: string): Promise<void>;
  signOut(token: string): Promise<void>;
  /**
   * Somebody's key for a text, that only this log book can make: 64 hex digits, the same each time until they get a new
   * password or are taken out. Null where nobody has the name.
   */
  keyFor(name: string, text: string): Promise<string | null>;
}

const DAY_MS = 24 * 3600 * 1000;
export const SESSION_DAYS = 30;
const SHORTEST_PASSWORD = 10;
const LONGEST_PASSWORD = 200;
/** One line: no control characters, no blanks at its ends. */
const NAME = /^(?!\s)[^\p{Cc}\p{Cf}\u2028\u2029]{1,100}(?<!\s)$/u;

export function peopleIn(database: Database, { now, patienceMs }: { now: () => string; patienceMs: number }): People {
  const { db } = database;
  const patient = <T>(work: () => Promise<T>) => patiently(database, patienceMs, work);
  const write = <T>(work: (tx: Kysely<Tables>) => Promise<T>) => patient(() => db.transaction().execute(work));
  const endOf = (from: number) => new Date(from + SESSION_DAYS * DAY_MS).toISOString();
  const has = async (role?: Role) => {
    const query = db.selectFrom('people').select('id').limit(1);
    return (await patient(() => (role ? query.where('role', '=', role) : query).execute())).length > 0;
  };
  /** A hash that no password has, checked where the name is unknown. */
  let nobodys: Promise<string> | undefined;

  return {
    list: () => patient(() => db.selectFrom('people').select(['name', 'role', 'added']).orderBy('id').execute()),
    isEmpty: async () => !(await has()),
    hasManager: () => has('manager'),

    async add({ name, role, password }) {
      const wrong = [...nameProblems(name), ...roleProblems(role), ...passwordProblems(name, password)];
      if (wrong.length > 0) return { accepted: null, problems: wrong };
      const hashed = await hashOf(password);
      return write(async (tx) => {
        const there = await personNamed(tx, name);
        if (there) return refuse(taken(there.name));
        const row = { id: idOf(name), name, role, password: hashed, added: now() };
        await tx.insertInto('people').values(row).execute();
        return { accepted: { name, role }, problems: [] };
      });
    },

    remove: (name) =>
      write(async (tx) => {
        const managers = tx.selectFrom('people').select('id').where('role', '=', 'manager');
        // Held, so that of two managers who take each other out one stays.
        const held = await (database.kind === 'postgres' ? managers.forUpdate() : managers).execute();
        const there = await personNamed(tx, name);
        if (!there) return refuse(unknown(name));
        if (held.length === 1 && held[0].id === there.id && (await othersThan(tx, there.id)))
          return refuse(lastManager(there.name));
        await tx.deleteFrom('people').where('id', '=', there.id).execute();
        return { accepted: { name: there.name, role: there.role }, problems: [] };
      }),

    async setPassword(name, password) {
      const wrong = passwordProblems(name, password);
      if (wrong.length > 0) return { accepted: null, problems: wrong };
      const hashed = await hashOf(password);
      return write(async (tx) => {
        const there = await personNamed(tx, name);
        if (!there) return refuse(unknown(name));
        await tx.updateTable('people').set({ password: hashed }).where('id', '=', there.id).execute();
        await tx.deleteFrom('sessions').where('person', '=', there.id).execute();
        return { accepted: { name: there.name, role: there.role }, problems: [] };
      });
    },

    async signIn(name, password) {
      const there = await patient(() => personNamed(db, name));
      nobodys ??= hashOf(randomBytes(32).toString('hex'));
      const isRight = await isPassword(there?.password ?? (await nobodys), password);
      if (!there || !isRight) return null;
      const token = randomBytes(32).toString('hex');
      const time = now();
      const isThere = await write(async (tx) => {
        await tx.deleteFrom('sessions').where('ends', '<=', time).execute();
        // The password may have been changed, or its person taken out, while it was checked.
        const still = await personNamed(tx, name);
        if (still?.password !== there.password) return false;
        const session = { token: tokenHash(token), person: there.id, ends: endOf(Date.parse(time)) };
        await tx.insertInto('sessions').values(session).execute();
        return true;
      });
      return isThere ? { person: { name: there.name, role: there.role }, token } : null;
    },

    async session(token) {
      const [time, hash] = [now(), tokenHash(token)];
      const found = await patient(() =>
        db
          .selectFrom('sessions')
          .innerJoin('people', 'people.id', 'sessions.person')
          .select(['people.name', 'people.role', 'sessions.ends'])
          .where('sessions.token', '=', hash)
          .where('sessions.ends', '>', time)
          .executeTakeFirst(),
      );
      if (!found) return null;
      const { name, role, ends } = found;
      const isDayOld = Date.parse(ends) - Date.parse(time) < (SESSION_DAYS - 1) * DAY_MS;
      return { person: { name, role }, isDayOld };
    },

    async prolong(token) {
      const time = now();
      const ends = endOf(Date.parse(time));
      const query = db.updateTable('sessions').set({ ends }).where('token', '=', tokenHash(token));
      await patient(() => query.where('ends', '>', time).execute());
    },

    async signOut(token) {
      await patient(() => db.deleteFrom('sessions').where('token', '=', tokenHash(token)).execute());
    },

    async keyFor(name, text) {
      const there = await patient(() => personNamed(db, name));
      if (!there) return null;
      const fresh = { name: 'keys', secret: randomBytes(32).toString('hex') };
      const secret = () => db.selectFrom('secrets').select('secret').where('name', '=', fresh.name).executeTakeFirst();
      const kept = await patient(async () => {
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

const idOf = (name: string) => name.normalize('NFKC').toLowerCase();
const tokenHash = (token: string) => sha256(Buffer.from(token));

/** The same letters may come as one character or as two, by keyboard. */
const passwordBytes = (password: string) => Buffer.from(password.normalize('NFC'));

/** A native library is loaded as it lies there, when it is needed; no bundle can hold it. */
function argon2(): typeof import('@node-rs/argon2') {
  try {
    return createRequire(import.meta.url)('@node-rs/argon2');
  } catch (error) {
    throw notInstalled('@node-rs/argon2', error);
  }
}

/** argon2id with 19 MiB and two passes, the library's own setting, which follows the OWASP password storage sheet (from memory). */
const hashOf = (password: string): Promise<string> => argon2().hash(passwordBytes(password));
const isPassword = (hashed: string, password: string): Promise<boolean> =>
  argon2().verify(hashed, passwordBytes(password));

const personNamed = (tx: Kysely<Tables>, name: string) =>
  tx.selectFrom('people').selectAll().where('id', '=', idOf(name)).executeTakeFirst();

const othersThan = (tx: Kysely<Tables>, id: string) =>
  tx.selectFrom('people').select('id').where('id', '<>', id).limit(1).executeTakeFirst();

const refuse = (...problems: Problem[]) => ({ accepted: null, problems });

function nameProblems(name: string): Problem[] {
  if (NAME.test(name)) return [];
  const allowed = 'a name of one line, 1 to 100 characters, no blanks at its ends';
  const words = { message: 'it is no name', allowed, cure: `write ${allowed}` };
  return [problem('bad-field', { id: name, field: 'name' }, words)];
}

function roleProblems(role: Role): Problem[] {
  if (ROLES.includes(role)) return [];
  const allowed = `one of ${ROLES.join(', ')}`;
  const words = { message: 'it is no role', allowed, cure: `write ${allowed}` };
  return [problem('bad-field', { id: null, field: 'role' }, words)];
}

/** What was given is never said again. */
function passwordProblems(name: string, { length }: string): Problem[] {
  if (length >= SHORTEST_PASSWORD && length <= LONGEST_PASSWORD) return [];
  const allowed = `${SHORTEST_PASSWORD} to ${LONGEST_PASSWORD} characters`;
  const message = `it has ${length} characters`;
  return [problem('bad-field', { id: name, field: 'password' }, { message, allowed, cure: `take one of ${allowed}` })];
}

const taken = (name: string) =>
  problem(
    'name-taken',
    { id: name, field: 'name' },
    { message: 'somebody has this name already', cure: 'write another, or give that one a new password' },
  );

const unknown = (name: string) =>
  problem(
    'unknown-id',
    { id: name, field: null },
    { message: 'nobody has this name', cure: 'see who there is with oilshed people list' },
  );

const lastManager = (name: string) =>
  problem(
    'last-manager',
    { id: name, field: null },
    {
      message: 'there is no other manager, and there are other people',
      cure: 'add another manager first, or remove the others first',
    },
  );
