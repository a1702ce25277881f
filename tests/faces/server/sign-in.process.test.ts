import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { FastifyInstance } from 'fastify';
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import { told } from '../../../src/catalogue/index.ts';
import { buildApp } from '../../../src/faces/server/app.ts';
import { type LogBook, openLogStore, StoreFault } from '../../../src/store/index.ts';
import { madeEntry, madePhoto } from '../../log-book/made.ts';
import { addPeople, cookieOf, MADE_PEOPLE, signIn } from './made-people.ts';

const root = process.cwd();
let data: string;
let book: LogBook;
let app: FastifyInstance;
let time: string;
beforeEach(async () => {
  data = mkdtempSync(join(tmpdir(), 'oilshed-sign-in-'));
  time = '2026-06-01T08:00:00.000Z';
  book = await openLogStore({ folder: data, now: () => time });
  app = await buildApp(root, book);
});
afterEach(async () => {
  await app.close();
  await book.close();
  rmSync(data, { recursive: true, force: true });
});

const { manager, crew } = MADE_PEOPLE;
const get = (url: string, headers = {}, more = {}) => app.inject({ method: 'GET', url, headers, ...more });
const who = async (headers = {}) => (await get('/api/session', headers)).json();
const refusal = (reply: Awaited<ReturnType<typeof get>>) => [reply.statusCode, reply.json().code];
const NOBODY = { name: null, role: null, mustChangePassword: false, isSignInNeeded: true };

describe('who is signed in', () => {
  test('this machine as a manager until there are people, then nobody, then who signs in, then nobody', async () => {
    expect(await who()).toEqual({ ...NOBODY, name: 'this machine', role: 'manager', isSignInNeeded: false });
    await addPeople(book);
    expect(await who()).toEqual(NOBODY);
    expect(refusal(await get('/api/entries'))).toEqual([401, 'not-signed-in']);
    const cookie = await cookieOf(app, 'crew');
    expect(await who(cookie)).toEqual({ ...NOBODY, name: 'J. Ortega', role: 'crew' });
    const out = await app.inject({ method: 'DELETE', url: '/api/session', headers: cookie });
    expect([out.statusCode, out.body, out.cookies[0]]).toMatchObject([204, '', { value: '', path: '/' }]);
    expect(await who(cookie)).toEqual(NOBODY);
    expect((await app.inject({ method: 'DELETE', url: '/api/session' })).statusCode).toBe(204);
  });

  test('ends with the session: by time, a new password, being removed', async () => {
    await addPeople(book);
    const cookies = [await cookieOf(app, 'viewer'), await cookieOf(app, 'crew'), await cookieOf(app, 'manager')];
    const names = async () => Promise.all(cookies.map(async (cookie) => (await who(cookie)).name));
    expect(await names()).toEqual(['A. Vale', 'J. Ortega', 'M. Lund']);
    await book.people.remove('A. Vale');
    await book.people.setPassword('J. Ortega', 'an entirely new one');
    expect(await names()).toEqual([null, null, 'M. Lund']);
    time = '2026-06-01T20:00:00.000Z';
    expect(await names()).toEqual([null, null, null]);
  });

  test('stays while they come back within 12 hours, and ends when they have not been seen for so long', async () => {
    await addPeople(book);
    const cookie = await cookieOf(app, 'crew');
    time = '2026-06-01T19:00:00.000Z';
    const reply = await get('/api/entries', cookie);
    expect([reply.statusCode, reply.cookies]).toEqual([200, []]);
    time = '2026-06-02T06:59:00.000Z';
    expect((await who(cookie)).name).toBe('J. Ortega');
    time = '2026-06-02T18:59:00.000Z';
    expect(await who(cookie)).toEqual(NOBODY);
  });
});

test('a session that cannot be prolonged, on a full disk, is a session all the same', async () => {
  await addPeople(book);
  const cookie = await cookieOf(app, 'crew');
  time = '2026-06-01T18:00:00.000Z';
  book.people.prolong = () =>
    Promise.reject(new StoreFault('log-unwritable', told('store.disk-full'), told('store.disk-full-remedy')));
  const reply = await get('/api/entries', cookie);
  expect([reply.statusCode, reply.cookies]).toEqual([200, []]);
});

test('where people sign in, a browser asks each time whether it may still show a photo or a map that it has', async () => {
  await addPeople(book);
  const cookie = await cookieOf(app, 'crew');
  const [photo, map] = [book.photos.save(madePhoto(1)), book.maps.save(Buffer.from('{}'))];
  for (const [url, name] of [
    [`/api/photos/${photo}`, photo],
    [`/api/maps/${map}`, map],
  ]) {
    const { statusCode, headers } = await get(url, cookie);
    expect([statusCode, headers['cache-control'], headers.etag]).toEqual([200, 'private, no-cache', `"${name}"`]);
    const again = { 'if-none-match': headers.etag };
    const known = await get(url, { ...cookie, ...again });
    expect([known.statusCode, known.body]).toEqual([304, '']);
    expect((await get(url, { ...cookie, 'if-none-match': '"x"' })).statusCode).toBe(200);
    expect(refusal(await get(url, again))).toEqual([401, 'not-signed-in']);
  }
});

describe('signing in', () => {
  beforeEach(() => addPeople(book));

  test('is answered with name, role, and a cookie for no script, no other site and, over https, no plain line', async () => {
    const reply = await signIn(app, { ...manager, name: 'm. lund' });
    expect([reply.statusCode, reply.json()]).toEqual([
      201,
      { name: 'M. Lund', role: 'manager', mustChangePassword: false },
    ]);
    const flags = { httpOnly: true, sameSite: 'Strict', path: '/', maxAge: 30 * 24 * 3600 };
    expect(reply.cookies).toEqual([
      { name: 'oilshed-session', value: expect.stringMatching(/^[0-9a-f]{64}$/), ...flags },
    ]);
    expect(reply.body).not.toContain(reply.cookies[0].value);
    // A proxy with https on this machine says so; from another machine that is not believed.
    const proxied = { 'x-forwarded-proto': 'https', 'x-forwarded-for': '192.0.2.7' };
    expect((await signIn(app, manager, { headers: proxied })).cookies[0]).toMatchObject({ ...flags, secure: true });
    const [other] = (await signIn(app, manager, { headers: proxied, remoteAddress: '192.0.2.8' })).cookies;
    expect(other.secure).toBeUndefined();
  });

  test('says the same of an unknown name as of a wrong password, and never the password', async () => {
    const [wrong, unknown] = [
      await signIn(app, { name: manager.name, password: crew.password }),
      await signIn(app, { name: 'Nobody Here', password: crew.password }),
    ];
    expect(refusal(wrong)).toEqual([401, 'not-signed-in']);
    expect(unknown.json()).toEqual(wrong.json());
    expect([wrong.cookies, unknown.cookies]).toEqual([[], []]);
    for (const payload of [{}, [], { name: 'M. Lund' }, { name: 'M. Lund', password: 12345678901 }]) {
      const reply = await signIn(app, payload);
      expect(refusal(reply)).toEqual([400, 'bad-field']);
      expect(reply.body).not.toContain('12345678901');
    }
    const long = await signIn(app, { name: 'M. Lund', password: 'seven lids deep'.repeat(100) });
    expect(refusal(long)).toEqual([400, 'bad-field']);
    expect(long.body).not.toContain('seven lids');
  });

  test('takes SQL and HTML for a name or a password as nothing else', async () => {
    for (const nasty of [`' or '1'='1`, `M. Lund' --`, '<script>alert(1)</script>', '\0', '__proto__'])
      expect(refusal(await signIn(app, { name: nasty, password: nasty }))).toEqual([401, 'not-signed-in']);
    for (const nasty of [`' or '1'='1`, '%00', 'x'.repeat(5000)])
      expect(await who({ cookie: `oilshed-session=${encodeURIComponent(nasty)}` })).toEqual(NOBODY);
    expect(await book.people.list()).toHaveLength(3);
  });

  test('is refused after ten tries in a minute from one address, to others only', async () => {
    const tries = (count: number, payload: (n: number) => object, from: (n: number) => string) =>
      Promise.all(Array.from({ length: count }, (_, n) => signIn(app, payload(n), { remoteAddress: from(n) }))).then(
        (replies) => replies.map(({ statusCode }) => statusCode),
      );
    const sorted = async (statuses: Promise<number[]>) => (await statuses).sort();
    const wrong = (n: number) => ({ name: `guess ${n}`, password: 'not this one' });
    expect(await sorted(tries(12, wrong, () => '192.0.2.1'))).toEqual([...Array(10).fill(401), 429, 429]);
    const late = await signIn(app, manager, { remoteAddress: '192.0.2.1' });
    expect(refusal(late)).toEqual([429, 'too-many-tries']);
    expect(Number(late.headers['retry-after'])).toBeGreaterThan(0);
    expect((await signIn(app, manager, { remoteAddress: '192.0.2.2' })).statusCode).toBe(201);
    // The same network counts as one address.
    expect(await sorted(tries(12, wrong, (n) => `2001:db8::${n}`))).toEqual([...Array(10).fill(401), 429, 429]);
    expect(new Set(await tries(15, wrong, () => '127.0.0.1'))).toEqual(new Set([401]));
    expect(
      new Set(
        await tries(
          15,
          () => manager,
          () => '::1',
        ),
      ),
    ).toEqual(new Set([201]));
  });
});

describe('under many tries', () => {
  beforeEach(() => addPeople(book));
  const wrong = (name: string, n: number) =>
    signIn(app, { name, password: 'not this one' }, { remoteAddress: `198.51.100.${n}` });

  test('for one name, from many addresses, its owner waits for some of them and gets in', async () => {
    const guesses = Array.from({ length: 12 }, (_, n) => wrong('m. lund', n));
    const owner = await signIn(app, manager, { remoteAddress: '192.0.2.1' });
    expect(owner.statusCode).toBe(201);
    expect((await Promise.all(guesses)).map(({ statusCode }) => statusCode)).toEqual(Array(12).fill(401));
  });

  test('for more names than can be checked the rest are told to come back, and nothing is held up after', async () => {
    const { signIn: check } = book.people;
    let [open, most] = [0, 0];
    let letGo = () => {};
    const held = new Promise<void>((go) => {
      letGo = go;
    });
    book.people.signIn = async () => {
      most = Math.max(most, ++open);
      await held;
      open--;
      return null;
    };
    const replies: Awaited<ReturnType<typeof signIn>>[] = [];
    const guesses = Array.from({ length: 60 }, async (_, n) => replies.push(await wrong(`guess ${n}`, n)));
    await vi.waitUntil(() => replies.length === 60 - 52);
    expect(replies.map(refusal)).toEqual(Array(8).fill([429, 'too-many-tries']));
    expect(Number(replies[0].headers['retry-after'])).toBeGreaterThan(0);
    letGo();
    await Promise.all(guesses);
    expect(replies.slice(8).map(refusal)).toEqual(Array(52).fill([401, 'not-signed-in']));
    expect(most).toBe(2);
    book.people.signIn = check;
    expect((await signIn(app, manager, { remoteAddress: '192.0.2.1' })).statusCode).toBe(201);
  });
});

describe('where people sign in', () => {
  beforeEach(() => addPeople(book));
  const post = (headers: object) =>
    app.inject({
      method: 'POST',
      url: '/api/entries',
      headers: { 'content-type': 'application/json', ...headers },
      payload: JSON.stringify(madeEntry(1)),
    });

  test('the server may have any name, and pages of other sites may still not ask', async () => {
    const cookie = await cookieOf(app, 'crew');
    const host = 'yard.example:4650';
    for (const headers of [
      { host, origin: 'https://evil.example' },
      { host, origin: 'null' },
      { host, origin: 'http://yard.example:9999' },
      { host, origin: `http://${host}.evil.example` },
      { host, 'sec-fetch-site': 'cross-site' },
    ])
      expect(refusal(await post({ ...cookie, ...headers })), JSON.stringify(headers)).toEqual([403, 'other-origin']);
    for (const headers of [
      { host },
      { host, origin: `http://${host}`, 'sec-fetch-site': 'same-origin' },
      { host: 'yard.example', origin: 'https://yard.example' },
    ])
      expect((await post({ ...cookie, ...headers })).statusCode, JSON.stringify(headers)).toBe(201);
  });

  test('two crews who send at once both get through, in one chain', async () => {
    const cookies = [await cookieOf(app, 'crew'), await cookieOf(app, 'manager')];
    const replies = await Promise.all(
      Array.from({ length: 20 }, (_, n) =>
        app.inject({
          method: 'POST',
          url: '/api/entries',
          headers: { 'content-type': 'application/json', ...cookies[n % 2] },
          payload: JSON.stringify(madeEntry(n + 1)),
        }),
      ),
    );
    expect(replies.map((reply) => reply.json().seq).sort((a, b) => a - b)).toEqual(replies.map((_, at) => at + 1));
    expect(await book.verify()).toMatchObject({ ok: true, entries: 20 });
  });
});

test('while nobody signs in, a program that passes on what others ask is refused', async () => {
  expect(refusal(await get('/api/entries', { 'x-forwarded-for': '192.0.2.9' }))).toEqual([403, 'relayed']);
  expect(refusal(await get('/api/entries', {}, { remoteAddress: '192.0.2.9' }))).toEqual([403, 'relayed']);
  const named = { host: 'evil.example', 'x-forwarded-host': 'localhost' };
  expect(refusal(await get('/api/entries', named))).toEqual([403, 'relayed']);
  for (const passedOn of [{ via: '1.1 gate' }, { forwarded: 'for=192.0.2.9' }])
    expect(refusal(await get('/api/entries', passedOn))).toEqual([403, 'relayed']);
});
