import { randomBytes, randomUUID } from 'node:crypto';
import type { Kysely } from 'kysely';
import { isOutdated, isPassword, NOBODYS_HASH } from './passwords.ts';
import { countRefused, sealFinishedHours } from './people-record.ts';
import { idOf, type PeopleAccess, type Person, personNamed } from './person.ts';
import { sha256 } from './photos.ts';
import type { Tables } from './tables.ts';

/** A session as the server meets it. */
export interface Session {
  id: string;
  person: Person;
  /** Whether the password is weaker than is allowed by now, so that nothing else may be done before a new one. */
  mustChangePassword: boolean;
  /** Whether it was last seen so long ago that it should be prolonged. */
  isStale: boolean;
}

/** A session as it is listed. */
export interface ListedSession {
  id: string;
  name: string;
  began: string;
  /** When it was last used, within some minutes. */
  seen: string;
  /** What the browser calls itself. */
  agent: string;
}

/** Who is signed in. Every method may throw a StoreFault. */
export interface Sessions {
  /**
   * Begins a session: its token, 256 random bits in hex; the one with the token `instead` ends. Null for a wrong password
   * and, after as much work, for an unknown name.
   */
  signIn(
    name: string,
    password: string,
    from?: { agent?: string; instead?: string },
  ): Promise<{ person: Person; token: string; mustChangePassword: boolean } | null>;
  /** The session with this token; null where there is none or it has ended. */
  session(token: string): Promise<Session | null>;
  /** Lets a session go on for 12 hours from now, but for no more than 30 days in all. */
  prolong(token: string): Promise<void>;
  signOut(token: string): Promise<void>;
  /** Those that go on, of one person or of everybody, last used first. */
  sessions(of?: string): Promise<ListedSession[]>;
  /** Ends a session by its id, of one person or of anybody. Whose it was; null where there is none. */
  endSession(id: string, of?: string): Promise<string | null>;
  /** Ends all sessions of somebody but the one with an id. How many there were. */
  endOtherSessions(of: string, but: string): Promise<number>;
}

const MINUTE_MS = 60 * 1000;
export const SESSION_DAYS = 30;
const LONGEST_MS = SESSION_DAYS * 24 * 60 * MINUTE_MS;
/** A session that nobody uses for so long ends. */
const IDLE_MS = 12 * 60 * MINUTE_MS;
/** Its last use is written down again after so long, so that not every request writes. */
const STALE_MS = 10 * MINUTE_MS;
const LONGEST_AGENT = 300;

const tokenHash = (token: string) => sha256(Buffer.from(token));
export const newToken = () => {
  const token = randomBytes(32).toString('hex');
  return { token, hash: tokenHash(token) };
};

const endOf = (began: string, seen: string) =>
  new Date(Math.min(Date.parse(began) + LONGEST_MS, Date.parse(seen) + IDLE_MS)).toISOString();

/** Begins a session of a person, in a transaction that holds who that is. */
export async function beginSession(
  tx: Kysely<Tables>,
  { person, at, agent = '', mustChange = false }: { person: string; at: string; agent?: string; mustChange?: boolean },
): Promise<string> {
  const { token, hash } = newToken();
  const times = { began: at, seen: at, ends: endOf(at, at) };
  const told = agent.replace(/[\p{Cc}\p{Cf}]/gu, ' ').slice(0, LONGEST_AGENT);
  const row = { token: hash, id: randomUUID(), person, ...times, agent: told };
  await tx
    .insertInto('sessions')
    .values({ ...row, must_change: mustChange ? 1 : 0 })
    .execute();
  return token;
}

export function sessionsIn({ database, now, look, write }: PeopleAccess): Sessions {
  const { db } = database;
  return {
    async signIn(name, password, { agent, instead } = {}) {
      const there = await look(() => personNamed(db, name));
      const isRight = await isPassword(there?.password ?? NOBODYS_HASH, password);
      if (!there || !isRight) {
        await write((tx) => countRefused(tx, now(), there?.name ?? ''));
        return null;
      }
      const mustChange = await isOutdated(password);
      const at = now();
      return write(async (tx) => {
        await tx.deleteFrom('sessions').where('ends', '<=', at).execute();
        if (instead) await tx.deleteFrom('sessions').where('token', '=', tokenHash(instead)).execute();
        // The password may have been changed, or its person taken out, while it was checked; held, so that it is not now.
        const still = await personNamed(tx, name, database.kind);
        if (still?.password !== there.password) return null;
        await sealFinishedHours(tx, database, at);
        const token = await beginSession(tx, { person: still.id, at, agent, mustChange });
        return { person: { name: still.name, role: still.role }, token, mustChangePassword: mustChange };
      });
    },

    async session(token) {
      const [time, hash] = [now(), tokenHash(token)];
      const found = await look(() =>
        db
          .selectFrom('sessions')
          .innerJoin('people', 'people.id', 'sessions.person')
          .select(['people.name', 'people.role', 'sessions.id', 'sessions.seen', 'sessions.must_change'])
          .where('sessions.token', '=', hash)
          .where('sessions.ends', '>', time)
          .executeTakeFirst(),
      );
      if (!found) return null;
      const { name, role, id, seen, must_change } = found;
      const isStale = Date.parse(time) - Date.parse(seen) > STALE_MS;
      return { id, person: { name, role }, mustChangePassword: must_change === 1, isStale };
    },

    async prolong(token) {
      const seen = now();
      await write(async (tx) => {
        const session = tx.selectFrom('sessions').select('began').where('token', '=', tokenHash(token));
        const there = await session.where('ends', '>', seen).executeTakeFirst();
        if (!there) return;
        const times = { seen, ends: endOf(there.began, seen) };
        await tx.updateTable('sessions').set(times).where('token', '=', tokenHash(token)).execute();
      });
    },

    async signOut(token) {
      await look(() => db.deleteFrom('sessions').where('token', '=', tokenHash(token)).execute());
    },

    sessions: (of) =>
      look(() =>
        db
          .selectFrom('sessions')
          .innerJoin('people', 'people.id', 'sessions.person')
          .select(['sessions.id', 'people.name', 'sessions.began', 'sessions.seen', 'sessions.agent'])
          .where('sessions.ends', '>', now())
          .$if(of !== undefined, (query) => query.where('people.id', '=', idOf(String(of))))
          .orderBy('sessions.seen', 'desc')
          .execute(),
      ),

    endSession: (id, of) =>
      write(async (tx) => {
        const session = tx
          .selectFrom('sessions')
          .innerJoin('people', 'people.id', 'sessions.person')
          .select('people.name')
          .where('sessions.id', '=', id);
        const there = await session.executeTakeFirst();
        if (!there || (of !== undefined && there.name !== of)) return null;
        await tx.deleteFrom('sessions').where('id', '=', id).execute();
        return there.name;
      }),

    endOtherSessions: (of, but) =>
      write(async (tx) => {
        const there = await personNamed(tx, of);
        const query = tx
          .deleteFrom('sessions')
          .where('person', '=', there?.id ?? '')
          .where('id', '<>', but);
        return (await query.returning('id').execute()).length;
      }),
  };
}
