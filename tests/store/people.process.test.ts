import { readdirSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, afterEach, beforeEach, describe, expect, test } from 'vitest';
import { type LogBook, openLogStore } from '../../src/store/index.ts';
import { madeEntry, sha256 } from '../log-book/made.ts';
import { askDatabase, type Place, startPlaces } from './places.ts';

const places = await startPlaces('people');
afterAll(() => places.stop());

const PASSWORD = 'seven lids deep';
const lund = { name: 'M. Lund', role: 'manager', password: PASSWORD } as const;
const ortega = { name: 'J. Ortega', role: 'crew', password: 'oil floats on top' } as const;
const codes = ({ problems }: { problems: { code: string; field: string | null }[] }) =>
  problems.map(({ code, field }) => `${code} ${field}`);

describe.each(places.kinds)('people in $kind', ({ kind, skip }) => {
  describe.skipIf(skip)('', () => {
    let place: Place;
    let book: LogBook;
    let time: string;
    const open = () => openLogStore({ ...place, patienceMs: 3000, now: () => time });
    const rowsOf = (table: string) => askDatabase(place, `select * from ${table}`);
    beforeEach(async () => {
      place = await places.make(kind);
      time = '2026-06-01T08:00:00.000Z';
      book = await open();
    });
    afterEach(async () => {
      await book.close();
      places.remove(place);
    });

    test('are added, listed and removed; the book knows whether there are any, and a manager', async () => {
      const state = async () => [await book.people.isEmpty(), await book.people.hasManager()];
      expect(await state()).toEqual([true, false]);
      expect(await book.people.add(ortega)).toEqual({ accepted: { name: 'J. Ortega', role: 'crew' }, problems: [] });
      expect(await state()).toEqual([false, false]);
      time = '2026-06-02T08:00:00.000Z';
      await book.people.add(lund);
      expect(await state()).toEqual([false, true]);
      expect(await book.people.list()).toEqual([
        { name: 'J. Ortega', role: 'crew', added: '2026-06-01T08:00:00.000Z' },
        { name: 'M. Lund', role: 'manager', added: '2026-06-02T08:00:00.000Z' },
      ]);
      expect((await book.people.remove('j. ortega')).accepted).toEqual({ name: 'J. Ortega', role: 'crew' });
      expect((await book.people.remove('M. Lund')).accepted).toEqual({ name: 'M. Lund', role: 'manager' });
      expect(await state()).toEqual([true, false]);
    });

    test('have names that differ in more than capitals, and sound names, roles and passwords', async () => {
      await book.people.add({ ...lund, name: 'Ärla Ström' });
      expect(codes(await book.people.add({ ...ortega, name: 'ÄRLA STRÖM' }))).toEqual(['name-taken name']);
      // The same letters, written as letter and dots.
      expect(codes(await book.people.add({ ...ortega, name: 'ärla stro\u0308m' }))).toEqual(['name-taken name']);
      for (const name of ['', ' M', 'M ', 'two\nlines', 'x'.repeat(101), 'a\u202eb', 'This Machine', 'Esta máquina'])
        expect(codes(await book.people.add({ ...ortega, name })), name).toEqual(['bad-field name']);
      for (const password of ['', 'elevenchars', 'x'.repeat(201)]) {
        const answer = await book.people.add({ ...ortega, password });
        expect(codes(answer)).toEqual(['bad-field password']);
        if (password) expect(JSON.stringify(answer)).not.toContain(password);
      }
      const all = await book.people.add({ name: '', role: 'boss' as 'crew', password: 'short' });
      expect(codes(all)).toEqual(['bad-field name', 'bad-field role', 'bad-field password']);
      const longest = Array.from({ length: 4 }, (_, n) => sha256(Buffer.from([n]))).join('');
      const wrongLength = [longest.slice(0, 201), longest.slice(0, 11), `${longest.slice(0, 10)}🛢`];
      for (const password of wrongLength)
        expect(codes(await book.people.add({ ...ortega, name: 'x', password }))).toEqual(['bad-field password']);
      expect(
        (await book.people.add({ ...ortega, name: 'x'.repeat(100), password: longest.slice(0, 200) })).problems,
      ).toEqual([]);
      expect(await book.people.list()).toHaveLength(2);
    });

    test('sign in with their own password and no other, whatever the capitals of the name', async () => {
      for (const person of [lund, ortega]) await book.people.add(person);
      const session = await book.people.signIn('m. LUND', PASSWORD);
      expect(session).toEqual({
        person: { name: 'M. Lund', role: 'manager' },
        token: expect.stringMatching(/^[0-9a-f]{64}$/),
        mustChangePassword: false,
      });
      for (const [name, password] of [
        ['M. Lund', ortega.password],
        ['M. Lund', PASSWORD.toUpperCase()],
        ['M. Lund', ''],
        ['nobody', PASSWORD],
        ["' or 1=1 --", "' or 1=1 --"],
      ])
        expect(await book.people.signIn(name, password), `${name} ${password}`).toBeNull();
      expect((await book.people.session(String(session?.token)))?.person).toEqual(session?.person);
      for (const token of ['', 'x', '0'.repeat(64), "' or '1'='1"]) expect(await book.people.session(token)).toBeNull();
    });

    test('neither a password nor a token stands in the database', async () => {
      await book.people.add(lund);
      const token = String((await book.people.signIn(lund.name, PASSWORD))?.token);
      const [{ password }] = await rowsOf('people');
      expect(password).toMatch(/^\$argon2id\$v=19\$m=19456,t=2,p=1\$/);
      const [session] = await rowsOf('sessions');
      expect(session).toMatchObject({ person: 'm. lund', token: expect.stringMatching(/^[0-9a-f]{64}$/) });
      expect(JSON.stringify([await rowsOf('people'), session])).not.toContain(token);
      expect(JSON.stringify(await rowsOf('people'))).not.toContain(PASSWORD);
    });

    test('stay signed in while they come back within 12 hours, for 30 days at most, and after the book is opened again', async () => {
      await book.people.add(lund);
      const token = String((await book.people.signIn(lund.name, PASSWORD))?.token);
      const at = async (day: string) => {
        time = day;
        return book.people.session(token);
      };
      expect((await at('2026-06-01T08:10:00.000Z'))?.isStale).toBe(false);
      expect((await at('2026-06-01T19:59:59.000Z'))?.isStale).toBe(true);
      await book.people.prolong(token);
      expect((await at('2026-06-01T20:00:00.000Z'))?.isStale).toBe(false);
      await book.close();
      book = await open();
      expect((await at('2026-06-02T07:59:58.000Z'))?.person.name).toBe('M. Lund');
      expect(await at('2026-06-02T08:00:00.000Z')).toBeNull();
      await book.people.prolong(token);
      expect(await at('2026-06-02T08:00:00.000Z')).toBeNull();
      await book.people.signIn(lund.name, PASSWORD);
      expect(await rowsOf('sessions')).toHaveLength(1);
    });

    test('sign in again after 30 days, however often they came back', async () => {
      await book.people.add(lund);
      const token = String((await book.people.signIn(lund.name, PASSWORD))?.token);
      const end = Date.parse(time) + 30 * 24 * 3_600_000;
      for (let now = Date.parse(time); now < end; now += 11 * 3_600_000) {
        time = new Date(now).toISOString();
        expect(await book.people.session(token), time).not.toBeNull();
        await book.people.prolong(token);
      }
      time = new Date(end - 1).toISOString();
      expect(await book.people.session(token)).not.toBeNull();
      time = new Date(end).toISOString();
      expect(await book.people.session(token)).toBeNull();
    });

    test('a new session takes the place of the one that the same browser had', async () => {
      await book.people.add(lund);
      const first = String((await book.people.signIn(lund.name, PASSWORD))?.token);
      const other = String((await book.people.signIn(lund.name, PASSWORD))?.token);
      const second = String((await book.people.signIn(lund.name, PASSWORD, { instead: first }))?.token);
      expect(second).not.toBe(first);
      expect(await book.people.session(first)).toBeNull();
      expect(await Promise.all([other, second].map((token) => book.people.session(token)))).not.toContain(null);
    });

    test('lose their sessions by signing out, a new password, and being removed', async () => {
      for (const person of [lund, ortega]) await book.people.add(person);
      const signIn = async (name: string, password: string) =>
        String((await book.people.signIn(name, password))?.token);
      const [one, two] = [await signIn('M. Lund', PASSWORD), await signIn('M. Lund', PASSWORD)];
      const other = await signIn('J. Ortega', ortega.password);
      const open = () =>
        Promise.all([one, two, other].map(async (token) => (await book.people.session(token)) !== null));
      expect(await open()).toEqual([true, true, true]);
      await book.people.signOut(one);
      expect(await open()).toEqual([false, true, true]);
      expect(codes(await book.people.setPassword('M. Lund', 'short'))).toEqual(['bad-field password']);
      expect(codes(await book.people.setPassword('nobody', PASSWORD))).toEqual(['unknown-id null']);
      expect((await book.people.setPassword('m. lund', 'another long one')).accepted?.name).toBe('M. Lund');
      expect(await open()).toEqual([false, false, true]);
      expect(await book.people.signIn('M. Lund', PASSWORD)).toBeNull();
      expect(await book.people.signIn('M. Lund', 'another long one')).not.toBeNull();
      await book.people.remove('J. Ortega');
      expect(await open()).toEqual([false, false, false]);
      expect(await book.people.signIn('J. Ortega', ortega.password)).toBeNull();
    });

    test('keep a manager while there is anybody else', async () => {
      for (const person of [lund, ortega, { ...lund, name: 'A. Vale' }]) await book.people.add(person);
      const answers = await Promise.all(['M. Lund', 'A. Vale'].map((name) => book.people.remove(name)));
      expect(answers.flatMap(codes)).toEqual(['last-manager null']);
      expect(await book.people.hasManager()).toBe(true);
      expect(codes(await book.people.remove('nobody'))).toEqual(['unknown-id null']);
      await book.people.remove('J. Ortega');
      const [{ name }] = await book.people.list();
      expect((await book.people.remove(name)).problems).toEqual([]);
    });

    test('added twice at once are there once', async () => {
      const other = await open();
      const answers = await Promise.all([book, other, book, other].map(({ people }) => people.add(lund)));
      await other.close();
      expect(answers.flatMap(codes)).toEqual(Array(3).fill('name-taken name'));
      expect(await book.people.list()).toHaveLength(1);
    });

    test('with SQL in every field are text, and the entries are not touched', async () => {
      await book.add(madeEntry(1));
      const nasty = `x'); drop table people; --<script>`;
      const password = "'; drop table sessions; -- seven lids";
      await book.people.add({ name: nasty, role: 'crew', password });
      expect((await book.people.list())[0].name).toBe(nasty);
      expect((await book.people.signIn(nasty, password))?.person.name).toBe(nasty);
      await book.people.signOut(nasty);
      expect((await book.people.remove(nasty)).accepted?.name).toBe(nasty);
      expect(await book.verify()).toMatchObject({ ok: true, entries: 1 });
    });

    test('have keys for a text that are the same each time, in this book alone, until they get a new password or go', async () => {
      for (const person of [lund, ortega]) await book.people.add(person);
      const other = await open();
      const [one, two] = await Promise.all([book, other].map(({ people }) => people.keyFor('m. lund', 'tarn-lane')));
      await other.close();
      expect(one).toMatch(/^[0-9a-f]{64}$/);
      expect(two).toBe(one);
      const more = [
        await book.people.keyFor('M. Lund', 'west-yard'),
        await book.people.keyFor('J. Ortega', 'tarn-lane'),
      ];
      await book.people.setPassword('M. Lund', 'another long one');
      more.push(await book.people.keyFor('M. Lund', 'tarn-lane'));
      expect(new Set([one, ...more]).size).toBe(4);
      expect(await rowsOf('secrets')).toHaveLength(1);
      await book.people.remove('J. Ortega');
      expect(await book.people.keyFor('J. Ortega', 'tarn-lane')).toBeNull();
    });

    test('maps are kept beside the entries, under the hash of their bytes', () => {
      const name = book.maps.save(Buffer.from('{"a":1}'));
      expect(readdirSync(join(place.folder, 'maps'))).toEqual([name]);
      expect(book.maps.read(name)).toEqual(Buffer.from('{"a":1}'));
      expect(book.photos.has(name)).toBe(false);
    });
  });
});
