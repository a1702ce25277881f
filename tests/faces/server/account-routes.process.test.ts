import { cpSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { FastifyInstance } from 'fastify';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { buildApp } from '../../../src/faces/server/app.ts';
import { securityLog } from '../../../src/faces/server/security-log.ts';
import { type LogBook, openLogStore } from '../../../src/store/index.ts';
import { madeEntry } from '../../log-book/made.ts';
import { addPeople, cookieOf, MADE_PEOPLE, signIn } from './made-people.ts';

let folder: string;
let book: LogBook;
let app: FastifyInstance;
let time: string;
let told: string[];
const open = async (data: string) => {
  book = await openLogStore({ folder: data, now: () => time });
  app = await buildApp(process.cwd(), book, { security: securityLog({ write: (line) => void told.push(line) }) });
};
const close = async () => {
  await app.close();
  await book.close();
};
beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), 'oilshed-account-'));
  [time, told] = ['2026-06-01T08:00:00.000Z', []];
  await open(join(folder, 'book'));
});
afterEach(async () => {
  await close();
  rmSync(folder, { recursive: true, force: true });
});

const { crew, manager } = MADE_PEOPLE;
const ask = (method: 'GET' | 'POST' | 'PUT' | 'DELETE', url: string, headers: object, payload?: object) =>
  app.inject({ method, url, headers: { ...headers }, payload });
type Reply = Awaited<ReturnType<typeof ask>>;
const cookieIn = ({ cookies: [cookie] }: Reply) => ({ cookie: `${cookie.name}=${cookie.value}` });
const refusal = (reply: Reply) => [reply.statusCode, reply.json().code];
const who = async (headers: object) => (await ask('GET', '/api/session', headers)).json();
const FRESH = 'four lids under rain';

describe('another password for oneself', () => {
  beforeEach(() => addPeople(book));
  const change = (headers: object, password: string, newPassword: string) =>
    ask('PUT', '/api/password', headers, { password, newPassword });

  test('takes the one there is, ends the other sessions, and goes on with a new token', async () => {
    const [here, elsewhere, other] = [
      await cookieOf(app, 'crew'),
      await cookieOf(app, 'crew'),
      await cookieOf(app, 'viewer'),
    ];
    const reply = await change(here, crew.password, FRESH);
    expect([reply.statusCode, reply.body]).toEqual([204, '']);
    expect(reply.cookies).toMatchObject([{ httpOnly: true, sameSite: 'Strict', path: '/' }]);
    const names = await Promise.all(
      [here, elsewhere, cookieIn(reply), other].map(async (each) => (await who(each)).name),
    );
    expect(names).toEqual([null, null, 'J. Ortega', 'A. Vale']);
    expect((await signIn(app, crew)).statusCode).toBe(401);
    expect((await signIn(app, { ...crew, password: FRESH })).statusCode).toBe(201);
  });

  test('is refused for a wrong one, a weak one and the same one, which are said again by no answer', async () => {
    const cookie = await cookieOf(app, 'crew');
    for (const [now, next, field] of [
      ['not this one', FRESH, 'password'],
      [crew.password, 'elevenchars', 'newPassword'],
      [crew.password, 'qwerty123456', 'newPassword'],
      [crew.password, 'ortega ortega', 'newPassword'],
      [crew.password, crew.password, 'newPassword'],
    ]) {
      const reply = await change(cookie, now, next);
      expect([...refusal(reply), reply.json().problems[0].field], `${now} ${next}`).toEqual([400, 'bad-field', field]);
      for (const secret of [now, next]) expect(reply.body).not.toContain(secret);
    }
    expect(refusal(await ask('PUT', '/api/password', cookie, { password: FRESH }))).toEqual([400, 'bad-field']);
    expect((await who(cookie)).name).toBe('J. Ortega');
    expect((await signIn(app, crew)).statusCode).toBe(201);
  });

  test('is bound to ten tries a minute from another machine, as signing in is', async () => {
    const cookie = await cookieOf(app, 'crew');
    const tries = Array.from({ length: 12 }, () =>
      app.inject({
        method: 'PUT',
        url: '/api/password',
        headers: cookie,
        payload: { password: 'not this one', newPassword: FRESH },
        remoteAddress: '192.0.2.1',
      }),
    );
    const statuses = (await Promise.all(tries)).map(({ statusCode }) => statusCode).sort();
    expect(statuses).toEqual([...Array(10).fill(400), 429, 429]);
  });
});

test('who has an old password that is too short signs in, and does nothing before another is chosen', async () => {
  await close();
  cpSync('tests/store/books/book', join(folder, 'old'), { recursive: true });
  await open(join(folder, 'old'));
  const begun = await signIn(app, { name: 'M. Lund', password: 'short-ten1' });
  expect([begun.statusCode, begun.json()]).toEqual([
    201,
    { name: 'M. Lund', role: 'manager', mustChangePassword: true },
  ]);
  const cookie = cookieIn(begun);
  expect(await who(cookie)).toMatchObject({ name: 'M. Lund', mustChangePassword: true });
  const entry = { headers: { ...cookie, 'content-type': 'application/json' }, payload: JSON.stringify(madeEntry(901)) };
  for (const reply of [
    await app.inject({ method: 'POST', url: '/api/entries', ...entry }),
    await app.inject({ method: 'POST', url: '/api/maps', ...entry }),
    ...(await Promise.all(
      [
        'entries',
        'sessions',
        'tokens',
        'events?site=tarn-lane',
        'calendar-address?site=tarn-lane',
        'calendar.ics?site=tarn-lane',
      ].map((path) => ask('GET', `/api/${path}`, cookie)),
    )),
    await ask('POST', '/api/tokens', cookie, { name: 'a way round', role: 'manager' }),
    await ask('DELETE', '/api/sessions', cookie),
  ])
    expect(refusal(reply)).toEqual([403, 'password-outdated']);
  expect(
    refusal(await ask('PUT', '/api/password', cookie, { password: 'short-ten1', newPassword: 'short-ten2' })),
  ).toEqual([400, 'bad-field']);
  const changed = await ask('PUT', '/api/password', cookie, { password: 'short-ten1', newPassword: FRESH });
  expect(changed.statusCode).toBe(204);
  expect(await who(cookieIn(changed))).toMatchObject({ name: 'M. Lund', mustChangePassword: false });
  expect((await ask('GET', '/api/entries', cookieIn(changed))).statusCode).toBe(200);
  expect((await ask('GET', '/api/entries', cookie)).statusCode).toBe(401);
  expect((await signIn(app, { name: 'M. Lund', password: 'short-ten1' })).statusCode).toBe(401);
  // One that is long enough stays as it is.
  const other = await signIn(app, { name: 'A. Vance', password: 'a longer password than that' });
  expect(other.json()).toMatchObject({ mustChangePassword: false });
});

describe('sessions', () => {
  beforeEach(() => addPeople(book));
  const listed = async (headers: object, of = 'me') =>
    (await ask('GET', `/api/sessions?of=${of}`, headers)).json().sessions as {
      id: string;
      name: string;
      isThis: boolean;
    }[];

  test('are listed to whom they belong, with the browser and the time, and ended by them', async () => {
    const phone = cookieIn(await signIn(app, crew, { headers: { 'user-agent': 'Phone\u0007/1' } }));
    time = '2026-06-01T09:00:00.000Z';
    const desk = cookieIn(await signIn(app, crew, { headers: { 'user-agent': 'Desk/2' } }));
    await cookieOf(app, 'viewer');
    const sessions = await listed(desk);
    expect(sessions).toEqual([
      { id: expect.any(String), name: 'J. Ortega', began: time, seen: time, agent: 'Desk/2', isThis: true },
      {
        id: expect.any(String),
        name: 'J. Ortega',
        began: '2026-06-01T08:00:00.000Z',
        seen: '2026-06-01T08:00:00.000Z',
        agent: 'Phone /1',
        isThis: false,
      },
    ]);
    expect(JSON.stringify(sessions)).not.toMatch(/[0-9a-f]{64}/);
    expect((await ask('DELETE', `/api/sessions/${sessions[1].id}`, desk)).statusCode).toBe(204);
    expect([(await who(phone)).name, (await who(desk)).name]).toEqual([null, 'J. Ortega']);
    const last = await ask('DELETE', `/api/sessions/${sessions[0].id}`, desk);
    expect([last.statusCode, last.cookies[0].value, (await who(desk)).name]).toEqual([204, '', null]);
  });

  test('are all ended but the one that asks', async () => {
    const mine = await Promise.all([1, 2, 3].map(() => cookieOf(app, 'crew')));
    const other = await cookieOf(app, 'viewer');
    expect((await ask('DELETE', '/api/sessions', mine[1])).json()).toEqual({ ended: 2 });
    const names = await Promise.all([...mine, other].map(async (each) => (await who(each)).name));
    expect(names).toEqual([null, 'J. Ortega', null, 'A. Vale']);
  });

  test('of others are listed and ended by a manager, and by nobody else', async () => {
    const [viewer, crewHere, boss] = [
      await cookieOf(app, 'viewer'),
      await cookieOf(app, 'crew'),
      await cookieOf(app, 'manager'),
    ];
    const all = await listed(boss, 'everybody');
    expect(all.map(({ name }) => name).sort()).toEqual(['A. Vale', 'J. Ortega', 'M. Lund']);
    const its = all.find(({ name }) => name === 'A. Vale')?.id;
    expect(refusal(await ask('DELETE', `/api/sessions/${its}`, crewHere))).toEqual([404, 'not-found']);
    expect((await who(viewer)).name).toBe('A. Vale');
    expect((await ask('DELETE', `/api/sessions/${its}`, boss)).statusCode).toBe(204);
    expect((await who(viewer)).name).toBeNull();
  });

  test('begin with a new token each time, and the one that the browser had ends', async () => {
    const first = await cookieOf(app, 'crew');
    const again = cookieIn(await signIn(app, crew, { headers: first }));
    expect(again.cookie).not.toBe(first.cookie);
    expect([(await who(first)).name, (await who(again)).name]).toEqual([null, 'J. Ortega']);
    // A token that somebody planted is never taken up.
    const planted = { cookie: `oilshed-session=${'0'.repeat(64)}` };
    expect(cookieIn(await signIn(app, crew, { headers: planted })).cookie).not.toBe(planted.cookie);
    expect((await who(planted)).name).toBeNull();
  });
});

describe('tokens', () => {
  beforeEach(() => addPeople(book));
  const make = async (headers: object, body: object) => ask('POST', '/api/tokens', headers, body);
  const bearer = (token: string) => ({ authorization: `Bearer ${token}` });

  test('are made by name, shown once, used as who made them, and ended', async () => {
    const cookie = await cookieOf(app, 'crew');
    const made = await make(cookie, { name: 'rain gauge', role: 'crew' });
    expect([made.statusCode, made.json()]).toEqual([
      201,
      { name: 'rain gauge', role: 'crew', made: time, token: expect.stringMatching(/^oilshed_[0-9a-f]{64}$/) },
    ]);
    const { token } = made.json();
    const list = await ask('GET', '/api/tokens', cookie);
    expect(list.json()).toEqual({ tokens: [{ name: 'rain gauge', role: 'crew', made: time }] });
    const entry = { 'content-type': 'application/json', ...bearer(token) };
    const sent = await app.inject({
      method: 'POST',
      url: '/api/entries',
      headers: entry,
      payload: JSON.stringify(madeEntry(1)),
    });
    expect(sent.statusCode).toBe(201);
    expect((await ask('GET', '/api/entries', bearer(token))).json().entries[0].account).toBe('J. Ortega');
    expect((await ask('DELETE', '/api/tokens/rain%20gauge', cookie)).statusCode).toBe(204);
    expect(refusal(await ask('GET', '/api/entries', bearer(token)))).toEqual([401, 'not-signed-in']);
    expect(refusal(await ask('DELETE', '/api/tokens/rain%20gauge', cookie))).toEqual([404, 'not-found']);
  });

  test('have a role of at most their person’s, now and later, and end with the person or a password set by others', async () => {
    const cookie = await cookieOf(app, 'crew');
    const over = await make(cookie, { name: 'too much', role: 'manager' });
    expect([...refusal(over), over.json().problems[0].field]).toEqual([400, 'bad-field', 'role']);
    const { token } = (await make(cookie, { name: 'rain gauge', role: 'crew' })).json();
    expect((await make(cookie, { name: 'rain gauge', role: 'viewer' })).json().code).toBe('name-taken');
    expect((await make(cookie, { name: 'x\ny', role: 'viewer' })).json().code).toBe('bad-field');
    expect((await make(cookie, {})).json().code).toBe('bad-field');
    const role = async () => (await who(bearer(token))).role;
    expect(await role()).toBe('crew');
    await book.people.setRole('J. Ortega', 'viewer');
    expect(await role()).toBe('viewer');
    await book.people.setRole('J. Ortega', 'manager');
    expect(await role()).toBe('crew');
    await book.people.changePassword('J. Ortega', { now: crew.password, next: FRESH });
    expect(await role()).toBe('crew');
    await book.people.setPassword('J. Ortega', 'three dry gutters');
    expect((await ask('GET', '/api/session', bearer(token))).statusCode).toBe(401);
    const { accepted } = await book.people.makeToken({ person: 'A. Vale', name: 'x', role: 'viewer' });
    expect((await who(bearer(String(accepted?.token)))).name).toBe('A. Vale');
    await book.people.remove('A. Vale');
    expect((await ask('GET', '/api/session', bearer(String(accepted?.token)))).statusCode).toBe(401);
  });

  test('that nobody has are refused, also beside a good session; what else a proxy asks for there is none', async () => {
    const cookie = await cookieOf(app, 'crew');
    for (const token of ['x', `oilshed_${'0'.repeat(64)}`, cookie.cookie.split('=')[1], "' or '1'='1"])
      expect((await ask('GET', '/api/entries', { ...cookie, ...bearer(token) })).statusCode, token).toBe(
        token.includes(' ') ? 200 : 401,
      );
    expect((await ask('GET', '/api/entries', { ...cookie, authorization: 'Basic eDp5' })).statusCode).toBe(200);
  });

  test('stand in the database as a hash alone', async () => {
    const { token } = (await make(await cookieOf(app, 'crew'), { name: 'rain gauge', role: 'crew' })).json();
    expect(await book.people.tokens()).toEqual([{ person: 'J. Ortega', name: 'rain gauge', role: 'crew', made: time }]);
    const { readFileSync, readdirSync } = await import('node:fs');
    for (const name of readdirSync(join(folder, 'book')))
      if (name.startsWith('log.sqlite'))
        expect(readFileSync(join(folder, 'book', name)).includes(token.slice(8))).toBe(false);
  });
});

describe('the log of security events', () => {
  beforeEach(() => addPeople(book));

  test('tells what happened, from where and to whom, as lines of JSON', async () => {
    const cookie = await cookieOf(app, 'crew');
    await signIn(app, { name: manager.name, password: 'not this one' }, { remoteAddress: '192.0.2.1' });
    await ask('POST', '/api/tokens', cookie, { name: 'rain gauge', role: 'viewer' });
    await ask('POST', '/api/maps', { ...cookie, 'content-type': 'application/json' }, {});
    await ask('GET', '/api/entries', { authorization: 'Bearer x' });
    await ask('DELETE', '/api/tokens/rain%20gauge', cookie);
    await ask('PUT', '/api/password', cookie, { password: 'not this one', newPassword: FRESH });
    await ask('PUT', '/api/password', cookie, { password: crew.password, newPassword: FRESH });
    const lines = told.map((line) => JSON.parse(line));
    expect(lines.map(({ level: _, time: __, ...line }) => line)).toEqual([
      { event: 'signed-in', address: '127.0.0.1', name: 'J. Ortega', role: 'crew' },
      { event: 'sign-in-refused', address: '192.0.2.1' },
      { event: 'token-made', address: '127.0.0.1', name: 'J. Ortega', role: 'viewer', tokenName: 'rain gauge' },
      {
        event: 'request-refused',
        address: '127.0.0.1',
        name: 'J. Ortega',
        method: 'POST',
        route: '/api/maps',
        status: 403,
      },
      { event: 'token-refused', address: '127.0.0.1' },
      { event: 'token-ended', address: '127.0.0.1', name: 'J. Ortega', tokenName: 'rain gauge' },
      { event: 'password-change-refused', address: '127.0.0.1', name: 'J. Ortega', role: 'crew' },
      { event: 'password-changed', address: '127.0.0.1', name: 'J. Ortega', role: 'crew' },
    ]);
    for (const line of lines) expect(Number.isNaN(Date.parse(line.time))).toBe(false);
  });

  test('never holds a password, a token, a cookie, a key or a body, whatever is asked', async () => {
    const secrets = [crew.password, manager.password, FRESH, 'a name typed wrong', 'not this one', 'note of an entry'];
    const keep = (value: string) => {
      secrets.push(value);
      return value;
    };
    const cookie = await cookieOf(app, 'manager');
    keep(cookie.cookie.split('=')[1]);
    await signIn(app, { name: 'a name typed wrong', password: 'not this one' });
    await signIn(app, { name: crew.password, password: crew.name });
    const { token } = (await ask('POST', '/api/tokens', cookie, { name: 'rain gauge', role: 'manager' })).json();
    keep(token);
    const { path } = (await ask('GET', '/api/calendar-address?site=tarn-lane', cookie)).json();
    keep(String(new URL(path, 'http://localhost').searchParams.get('key')));
    await app.inject(path);
    for (const headers of [
      {},
      cookie,
      { authorization: `Bearer ${token}` },
      { authorization: `Bearer ${keep('0'.repeat(64))}` },
    ])
      for (const route of [
        `/api/entries?site=${FRESH}`,
        `/api/sessions?of=${FRESH}`,
        `/api/none/${token}`,
        '/api/tokens',
      ])
        for (const method of ['GET', 'POST', 'PUT', 'DELETE'] as const)
          await ask(
            method,
            encodeURI(route),
            { ...headers, origin: 'https://evil.example' },
            { note: 'note of an entry', token },
          );
    await ask('PUT', '/api/password', cookie, { password: 'not this one', newPassword: FRESH });
    const changed = await ask('PUT', '/api/password', cookie, { password: manager.password, newPassword: FRESH });
    keep(changed.cookies[0].value);
    await ask('DELETE', '/api/session', cookieIn(changed));
    expect(told.length).toBeGreaterThan(20);
    const all = told.join('');
    for (const secret of secrets) expect(all.includes(secret), secret).toBe(false);
    expect(all).not.toMatch(/[0-9a-f]{32}|argon2|cookie|authorization|evil/i);
  });
});
