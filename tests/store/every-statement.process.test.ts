import { AsyncLocalStorage } from 'node:async_hooks';
import { createRequire } from 'node:module';
import { DefaultQueryExecutor } from 'kysely';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test, vi } from 'vitest';
import type { SealedEntry } from '../../src/log-book/index.ts';
import { type LogBook, openLogStore } from '../../src/store/index.ts';
import { chainOf, madeEntry } from '../log-book/made.ts';
import { askDatabase, type Place, startPlaces } from './places.ts';

/** Hashing is not what is tried here; one hash stands for all. */
const argon2 = createRequire(import.meta.url)('@node-rs/argon2') as typeof import('@node-rs/argon2');

const places = await startPlaces('statement');
afterAll(() => places.stop());

const [PASSWORD, NEXT] = ['seven lids deep', 'three dry gutters'];
const FAULT = 'the n-th statement failed';

/** A try at something: the statements of its writing transactions, of which the n-th is not carried out, and throws. */
interface Try {
  seen: string[];
  failsAt: number;
  isWithin: boolean;
}
/** What the store does by itself meanwhile, such as writing heads beside the book, is not counted. */
const tries = new AsyncLocalStorage<Try>();

function failStatements() {
  const real = DefaultQueryExecutor.prototype.executeQuery;
  vi.spyOn(DefaultQueryExecutor.prototype, 'executeQuery').mockImplementation(async function (
    this: InstanceType<typeof DefaultQueryExecutor>,
    query,
  ) {
    const its = tries.getStore();
    if (its && query.sql.startsWith('begin')) its.isWithin = true;
    if (its?.isWithin && query.sql !== 'rollback') {
      its.seen.push(query.sql);
      if (its.seen.length === its.failsAt) throw new Error(FAULT);
    }
    if (its && /^(commit|rollback)/.test(query.sql)) its.isWithin = false;
    return real.call(this, query);
  });
}

const entries = [1, 2, 3].map((n) => madeEntry(n));
const sealed: SealedEntry[] = [
  ...chainOf(entries),
  ...chainOf([4, 5].map((n) => madeEntry(n, { site: 'west-yard', kind: 'visit' }))),
];

/** Everything that is done in one transaction of more than one statement, and what there has to be before it. */
const DOINGS: Record<string, (made: Made) => Promise<unknown>> = {
  'an entry is added': ({ book }) => book.add(madeEntry(9, { site: 'new-yard' })),
  'entries of another copy are taken over': ({ book }) => book.takeOver(sealed),
  'a person is added': ({ book }) => book.people.add({ name: 'B. Hale', role: 'crew', password: PASSWORD }, 'M. Lund'),
  'a person is removed': ({ book }) => book.people.remove('J. Ortega'),
  'a person has another role': ({ book }) => book.people.setRole('J. Ortega', 'viewer'),
  'a person gets another password': ({ book }) => book.people.setPassword('J. Ortega', NEXT),
  'a person takes another password': ({ book }) =>
    book.people.changePassword('J. Ortega', { now: PASSWORD, next: NEXT }),
  'somebody signs in, after an hour with refused sign-ins': ({ book, token }) =>
    book.people.signIn('J. Ortega', PASSWORD, { instead: token }),
  'a sign-in is refused': ({ book }) => book.people.signIn('J. Ortega', 'wrong password'),
  'a session goes on': ({ book, token }) => book.people.prolong(token),
  'a session is ended': async ({ book, session }) => book.people.endSession(session),
  'all other sessions are ended': ({ book, session }) => book.people.endOtherSessions('J. Ortega', session),
  'a token is made': ({ book }) => book.people.makeToken({ person: 'M. Lund', name: 'pump', role: 'crew' }),
  'a token is ended': ({ book }) => book.people.endToken({ person: 'J. Ortega', name: 'gauge' }),
};

interface Made {
  book: LogBook;
  /** A session of J. Ortega. */
  token: string;
  session: string;
}

describe.each(places.kinds)('where a statement of a transaction fails in $kind', ({ kind, skip }) => {
  describe.skipIf(skip)('nothing of it is done', () => {
    let place: Place;
    let book: LogBook;
    let time: string;
    let hashed: string;
    beforeAll(async () => {
      hashed = await argon2.hash(PASSWORD);
    });
    beforeEach(async () => {
      vi.spyOn(argon2, 'hash').mockImplementation(async () => hashed);
      vi.spyOn(argon2, 'verify').mockImplementation(async (_, password) => String(password) !== 'wrong password');
      place = await places.make(kind);
      time = '2026-06-01T08:20:00.000Z';
      book = await openLogStore({ ...place, patienceMs: 3000, now: () => time });
    });
    afterEach(async () => {
      vi.restoreAllMocks();
      await book.close();
      places.remove(place);
    });

    async function make(): Promise<Made> {
      const { people } = book;
      await people.add({ name: 'M. Lund', role: 'manager', password: PASSWORD });
      await people.add({ name: 'J. Ortega', role: 'crew', password: PASSWORD });
      await people.makeToken({ person: 'J. Ortega', name: 'gauge', role: 'viewer' });
      await people.signIn('J. Ortega', 'wrong password');
      await people.signIn('nobody', 'wrong password');
      const token = String((await people.signIn('J. Ortega', PASSWORD))?.token);
      await people.signIn('J. Ortega', PASSWORD);
      const session = String((await people.session(token))?.id);
      await book.takeOver(sealed.slice(0, 1));
      time = '2026-06-01T09:40:00.000Z';
      return { book, token, session };
    }

    /** Every row of every table. */
    async function everything(): Promise<unknown> {
      const names =
        kind === 'SQLite'
          ? "select name from sqlite_master where type = 'table' order by name"
          : "select table_name as name from information_schema.tables where table_schema = 'public' order by 1";
      const tables = (await askDatabase(place, names)).map(({ name }) => String(name));
      const rows = await Promise.all(tables.map((name) => askDatabase(place, `select * from ${name}`)));
      return tables.map((name, at) => [name, rows[at].map((row) => JSON.stringify(row)).sort()]);
    }

    /** Each statement fails once, from the beginning to the commit; and then it is done as if nothing had been. */
    async function failEach(doing: () => Promise<unknown>) {
      const before = await everything();
      failStatements();
      let failed = 0;
      for (;;) {
        const its: Try = { seen: [], failsAt: failed + 1, isWithin: false };
        const fault = await tries.run(its, doing).then(
          () => null,
          (error: Error) => error.message,
        );
        if (fault === null) {
          expect(failed).toBe(its.seen.indexOf('commit') + 1);
          break;
        }
        failed++;
        expect(fault).toBe(FAULT);
        expect(await everything(), `statement ${failed}: ${its.seen[failed - 1]}`).toEqual(before);
      }
      expect(failed).toBeGreaterThan(2);
      expect(await everything()).not.toEqual(before);
      expect(await book.verify()).toMatchObject({ ok: true, problems: [] });
    }

    test.each(Object.keys(DOINGS))('%s', async (name) => {
      const made = await make();
      await failEach(() => DOINGS[name](made));
    });

    test('the record of people of another copy is taken over', async () => {
      const other = await places.make(kind);
      const copied = await openLogStore({ ...other, now: () => time });
      await copied.people.add({ name: 'M. Lund', role: 'manager', password: PASSWORD });
      await copied.people.remove('M. Lund');
      const texts = (await copied.people.record.texts()).map(({ text }) => text);
      await copied.close();
      places.remove(other);
      expect(texts.length).toBeGreaterThan(1);
      await failEach(() => book.people.record.takeOver(texts));
    });
  });
});
