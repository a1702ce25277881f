import { cpSync } from 'node:fs';
import { afterAll, afterEach, beforeEach, describe, expect, test } from 'vitest';
import { readPeopleEvent } from '../../src/log-book/index.ts';
import type { Problem } from '../../src/site-map/index.ts';
import { type LogBook, openLogStore } from '../../src/store/index.ts';
import { english } from '../support/english.ts';
import { askDatabase, type Place, startPlaces } from './places.ts';

const places = await startPlaces('record');
afterAll(() => places.stop());

const lund = { name: 'M. Lund', role: 'manager', password: 'seven lids deep' } as const;
const ortega = { name: 'J. Ortega', role: 'crew', password: 'oil floats on top' } as const;
const messages = ({ problems }: { problems: readonly Problem[] }) => problems.map(({ message }) => english(message));

describe.each(places.kinds)('the record of people in $kind', ({ kind, skip }) => {
  describe.skipIf(skip)('', () => {
    let place: Place;
    let book: LogBook;
    let time: string;
    const open = () => openLogStore({ ...place, patienceMs: 3000, now: () => time });
    beforeEach(async () => {
      place = await places.make(kind);
      time = '2026-06-01T08:20:00.000Z';
      book = await open();
    });
    afterEach(async () => {
      await book.close();
      places.remove(place);
    });
    const events = async () => (await book.people.record.texts()).map(({ text }) => readPeopleEvent(text));
    const changes = async () =>
      (await events()).map((event) => {
        const {
          seq: _,
          at: __,
          previous: ___,
          hash: ____,
          ...change
        } = event ?? { seq: 0, at: '', previous: '', hash: '' };
        return change;
      });
    /** What the database lets happen once its own guards are taken away. */
    const unguarded = async (sql: string) => {
      if (place.databaseUrl) {
        await askDatabase(place, `set session_replication_role = replica; ${sql}`);
        return;
      }
      for (const { name } of await askDatabase(place, "select name from sqlite_master where type = 'trigger'"))
        await askDatabase(place, `drop trigger ${name}`);
      await askDatabase(place, sql);
    };

    test('says who was added, removed and changed, and by whom, and holds no password or token', async () => {
      const { people } = book;
      await people.add(lund);
      await people.add(ortega, 'M. Lund');
      await people.add(ortega);
      await people.setRole('j. ortega', 'viewer', 'M. Lund');
      await people.setRole('J. Ortega', 'viewer', 'M. Lund');
      await people.setRole('M. Lund', 'crew');
      const { accepted } = await people.makeToken(
        { person: 'J. Ortega', name: 'rain gauge', role: 'viewer' },
        'J. Ortega',
      );
      await people.endToken({ person: 'J. Ortega', name: 'rain gauge' });
      await people.setPassword('J. Ortega', 'three dry gutters');
      await people.changePassword('J. Ortega', { now: 'three dry gutters', next: 'two dry gutters left' });
      await people.remove('J. Ortega', 'M. Lund');
      expect(await changes()).toEqual([
        { event: 'added', name: 'M. Lund', role: 'manager', account: null },
        { event: 'added', name: 'J. Ortega', role: 'crew', account: 'M. Lund' },
        { event: 'role-changed', name: 'J. Ortega', role: 'viewer', before: 'crew', account: 'M. Lund' },
        { event: 'token-made', name: 'J. Ortega', token: 'rain gauge', role: 'viewer', account: 'J. Ortega' },
        { event: 'token-ended', name: 'J. Ortega', token: 'rain gauge', account: null },
        { event: 'password-changed', name: 'J. Ortega', account: null },
        { event: 'password-changed', name: 'J. Ortega', account: 'J. Ortega' },
        { event: 'removed', name: 'J. Ortega', role: 'viewer', account: 'M. Lund' },
      ]);
      const text = JSON.stringify(await events());
      for (const secret of [lund.password, ortega.password, 'gutters', 'argon2', String(accepted?.token).slice(8)])
        expect(text).not.toContain(secret);
      expect(await book.verify()).toMatchObject({ ok: true, people: 8 });
    });

    test('counts refused sign-ins by the hour, those of people by name, and what was typed for a name nowhere', async () => {
      await book.people.add(lund);
      const refuse = async (...names: string[]) => {
        for (const name of names) expect(await book.people.signIn(name, 'not this one')).toBeNull();
      };
      await refuse('m. lund', 'M. Lund', 'my secret typed here');
      await book.people.changePassword('M. Lund', { now: 'not this one', next: 'two dry gutters left' });
      expect(await book.people.record.refusedLately()).toBe(4);
      expect(await events()).toHaveLength(1);
      time = '2026-06-01T09:00:00.000Z';
      await refuse('nobody');
      expect(await book.people.record.refusedLately()).toBe(5);
      time = '2026-06-01T11:59:59.000Z';
      await book.people.signIn('M. Lund', lund.password);
      expect((await changes()).slice(1)).toEqual([
        {
          event: 'sign-ins-refused',
          hour: '2026-06-01T08:00Z',
          count: 4,
          people: [{ name: 'M. Lund', count: 3 }],
          account: null,
        },
        { event: 'sign-ins-refused', hour: '2026-06-01T09:00Z', count: 1, people: [], account: null },
      ]);
      expect(await book.people.record.refusedLately()).toBe(0);
      expect(
        JSON.stringify([await events(), await askDatabase(place, 'select * from refused_sign_ins')]),
      ).not.toContain('typed');
      expect((await book.verify()).ok).toBe(true);
    });

    test('is never changed or taken out: the database refuses', async () => {
      await book.people.add(lund);
      for (const sql of [
        "update people_events set event = '{}'",
        'delete from people_events',
        `insert into people_events (seq, event) values (1, '{}')`,
        'update people_head set seq = 5',
        'update people_head set seq = 0',
        'delete from people_head',
        ...(kind === 'PostgreSQL'
          ? ['truncate people_events']
          : ["insert or replace into people_events values (1, '{}')"]),
      ])
        await expect(askDatabase(place, sql), sql).rejects.toThrow();
      expect(await book.verify()).toMatchObject({ ok: true, people: 1 });
    });

    test('shows in verify what was changed past the database’s guards', async () => {
      for (const person of [lund, ortega]) await book.people.add(person);
      await unguarded(`update people_events set event = replace(event, 'J. Ortega', 'X. Ortega') where seq = 2`);
      expect(messages(await book.verify())).toContain('the record of people: event 2 is not as it was written');
      await unguarded(`update people_events set event = replace(event, 'X. Ortega', 'J. Ortega') where seq = 2`);
      expect((await book.verify()).ok).toBe(true);
      await unguarded('delete from people_events where seq = 2');
      expect(messages(await book.verify())).toEqual([
        'the record of people: it ends at 1, but its head says 2',
        'the record of people: J. Ortega may sign in as crew, but nothing says who let them',
      ]);
    });

    test('shows in verify who was let in, or given more, past the log book', async () => {
      for (const person of [lund, ortega]) await book.people.add(person);
      await askDatabase(place, "update people set role = 'manager' where name = 'J. Ortega'");
      await askDatabase(
        place,
        "insert into people (id, name, role, password, added) values ('eve', 'Eve', 'manager', 'x', 'now')",
      );
      expect(messages(await book.verify())).toEqual([
        'the record of people: Eve may sign in as manager, but nothing says who let them',
        'the record of people: J. Ortega may sign in as manager, but nothing says who let them',
      ]);
    });

    test('goes with an export into a copy that has none, or the beginning of it, and into no other', async () => {
      for (const person of [lund, ortega]) await book.people.add(person);
      const texts = (await book.people.record.texts()).map(({ text }) => text);
      const copyPlace = await places.make(kind);
      const copy = await openLogStore({ ...copyPlace, now: () => time });
      const take = (which: readonly string[]) => copy.people.record.takeOver(which);
      expect(await take(texts.slice(0, 1))).toEqual({ accepted: { added: 1, present: 0 }, problems: [] });
      expect(await take(texts)).toEqual({ accepted: { added: 1, present: 1 }, problems: [] });
      expect(await take(texts)).toEqual({ accepted: { added: 0, present: 2 }, problems: [] });
      expect(await copy.people.record.head()).toEqual(await book.people.record.head());
      expect(messages(await take([texts[0], texts[1].replace('Ortega', 'Vale')]))).toEqual([
        'the record of people: event 2 is not as it was written',
      ]);
      expect(messages(await take([texts[1]]))[0]).toContain('event');
      expect(await copy.verify()).toMatchObject({ ok: true, people: 2 });
      await copy.people.add({ ...lund, name: 'A. Vale' });
      await book.people.remove('J. Ortega');
      const longer = (await book.people.record.texts()).map(({ text }) => text);
      expect(messages(await take(longer))).toEqual([
        'its record of people does not continue the one that is here, and was not taken over',
      ]);
      await copy.close();
      places.remove(copyPlace);
    });

    test('changes made at once from two programs stand one after the other', async () => {
      const other = await open();
      const answers = await Promise.all(
        Array.from({ length: 6 }, (_, n) => (n % 2 ? other : book).people.add({ ...lund, name: `P. ${n}` })),
      );
      await other.close();
      expect(answers.flatMap(messages)).toEqual([]);
      expect(await book.verify()).toMatchObject({ ok: true, people: 6 });
    });
  });
});

test('the record of a log book that is older than it begins with who is there, at the first change', async () => {
  const place = await places.make('SQLite');
  cpSync('tests/store/books/book', place.folder, { recursive: true });
  const book = await openLogStore(place);
  expect(await book.verify()).toMatchObject({ ok: true, people: 0 });
  await book.people.add({ name: 'J. Ortega', role: 'crew', password: 'oil floats on top' });
  const events = (await book.people.record.texts()).map(({ text }) => readPeopleEvent(text));
  expect(events).toMatchObject([
    {
      event: 'begun',
      people: [
        { name: 'A. Vance', role: 'crew' },
        { name: 'M. Lund', role: 'manager' },
      ],
    },
    { event: 'added', name: 'J. Ortega' },
  ]);
  expect(await book.verify()).toMatchObject({ ok: true, people: 2 });
  await book.close();
  places.remove(place);
});
