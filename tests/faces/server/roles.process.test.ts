import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { FastifyInstance } from 'fastify';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { buildApp } from '../../../src/faces/server/app.ts';
import { canonicalText, type Entry, mapIdSchema } from '../../../src/log-book/index.ts';
import { type LogBook, openLogStore, type Role } from '../../../src/store/index.ts';
import { chainOf, idOf, madeEntry, madePhoto, sha256 } from '../../log-book/made.ts';
import { addPeople, cookieOf } from './made-people.ts';

const root = process.cwd();
const json = { 'content-type': 'application/json' };
const map = readFileSync('site-maps/two-bay-garage.geojson', 'utf8');
const mapName = sha256(Buffer.from(map));
let entries = 0;
const entry = (changes: Partial<Entry> = {}) => JSON.stringify(madeEntry(++entries, changes));
/** The first entry of a site that the log book does not know. */
const lostEntry = () => canonicalText(chainOf([madeEntry(++entries, { site: `lost-${entries}` })])[0]);
const ofMap = { kind: 'map', body: { sha256: mapIdSchema.parse(mapName) } } as const;

interface Route {
  method: 'GET' | 'POST' | 'PUT' | 'DELETE';
  url: string;
  /** The least role that may, and how it is answered. */
  least: Role | 'everybody';
  status: number;
  payload?: () => string | Buffer;
  headers?: Record<string, string>;
  /** Whether it takes a person who is signed in, and no token. */
  isOfPerson?: boolean;
}

/** Every route there is. */
const ROUTES: Route[] = [
  { method: 'GET', url: '/', least: 'everybody', status: 200 },
  { method: 'GET', url: '/site-maps/freight-depot.geojson', least: 'everybody', status: 200 },
  { method: 'GET', url: '/api/health', least: 'everybody', status: 200 },
  { method: 'GET', url: '/api/openapi.json', least: 'everybody', status: 200 },
  { method: 'GET', url: '/api/session', least: 'everybody', status: 200 },
  { method: 'POST', url: '/api/session', least: 'everybody', status: 400, payload: () => '{}', headers: json },
  { method: 'GET', url: '/api/entries', least: 'viewer', status: 200 },
  { method: 'GET', url: `/api/photos/${sha256(madePhoto(1))}`, least: 'viewer', status: 200 },
  { method: 'GET', url: `/api/maps/${mapName}`, least: 'viewer', status: 200 },
  { method: 'GET', url: '/api/calendar.ics?site=tarn-lane', least: 'viewer', status: 200 },
  { method: 'GET', url: '/api/calendar-address?site=tarn-lane', least: 'viewer', status: 200 },
  { method: 'GET', url: '/api/events?site=tarn-lane', least: 'viewer', status: 200 },
  { method: 'POST', url: '/api/entries', least: 'crew', status: 201, payload: entry, headers: json },
  {
    method: 'POST',
    url: '/api/photos',
    least: 'crew',
    status: 201,
    payload: () => madePhoto(2),
    headers: { 'content-type': 'image/jpeg' },
  },
  { method: 'POST', url: '/api/entries', least: 'manager', status: 201, payload: () => entry(ofMap), headers: json },
  {
    method: 'POST',
    url: '/api/maps',
    least: 'manager',
    status: 201,
    payload: () => map,
    headers: { 'content-type': 'application/geo+json' },
  },
  {
    method: 'POST',
    url: '/api/entries/restore',
    least: 'manager',
    status: 201,
    payload: lostEntry,
    headers: { 'content-type': 'application/x-ndjson' },
  },
  { method: 'GET', url: '/api/sessions', least: 'viewer', status: 200, isOfPerson: true },
  { method: 'GET', url: '/api/sessions?of=everybody', least: 'manager', status: 200, isOfPerson: true },
  { method: 'DELETE', url: '/api/sessions', least: 'viewer', status: 200, isOfPerson: true },
  { method: 'DELETE', url: '/api/sessions/none', least: 'viewer', status: 404, isOfPerson: true },
  { method: 'GET', url: '/api/tokens', least: 'viewer', status: 200, isOfPerson: true },
  {
    method: 'POST',
    url: '/api/tokens',
    least: 'viewer',
    status: 201,
    payload: () => JSON.stringify({ name: `script ${++entries}`, role: 'viewer' }),
    headers: json,
    isOfPerson: true,
  },
  { method: 'DELETE', url: '/api/tokens/none', least: 'viewer', status: 404, isOfPerson: true },
  {
    method: 'PUT',
    url: '/api/password',
    least: 'viewer',
    status: 400,
    payload: () => '{}',
    headers: json,
    isOfPerson: true,
  },
  { method: 'DELETE', url: '/api/session', least: 'everybody', status: 204 },
];
const PEOPLE = ['nobody', 'viewer', 'crew', 'manager', 'local user'] as const;
const TOKENS = ['viewer', 'crew', 'manager'] as const;
/** Codes of what is not refused, but finds nothing to do. */
const ELSE: Record<number, string> = { 400: 'bad-field', 404: 'not-found' };

let data: string;
let book: LogBook;
let app: FastifyInstance;
beforeEach(async () => {
  data = mkdtempSync(join(tmpdir(), 'oilshed-roles-'));
  book = await openLogStore({ folder: data });
  book.photos.save(madePhoto(1));
  book.maps.save(Buffer.from(map));
  app = await buildApp(root, book);
});
afterEach(async () => {
  await app.close();
  await book.close();
  rmSync(data, { recursive: true, force: true });
});

async function ask({ method, url, payload, headers }: Route, cookie = {}) {
  const reply = await app.inject({
    method,
    url,
    payload: payload?.(),
    headers: { ...headers, ...cookie },
    payloadAsStream: true,
  });
  // A stream of events never ends by itself.
  const isProblem = reply.headers['content-type'] === 'application/problem+json';
  const parts: Buffer[] = [];
  if (isProblem) for await (const part of reply.stream()) parts.push(part);
  else reply.stream().destroy();
  return { status: reply.statusCode, code: isProblem ? JSON.parse(Buffer.concat(parts).toString()).code : undefined };
}

const rank = (role: Role | 'everybody') => ['everybody', 'viewer', 'crew', 'manager'].indexOf(role);

describe.each(PEOPLE)('%s', (who) => {
  test('may use the routes that are theirs, and no other', async () => {
    if (who !== 'local user') await addPeople(book);
    const cookie = who === 'local user' || who === 'nobody' ? {} : await cookieOf(app, who);
    for (const route of ROUTES) {
      const { status, code } = await ask(route, cookie);
      const name = `${route.method} ${route.url}`;
      const may = who === 'local user' ? !route.isOfPerson : (who === 'nobody' ? 0 : rank(who)) >= rank(route.least);
      if (may) expect([status, code], name).toEqual([route.status, ELSE[route.status]]);
      else expect([status, code], name).toEqual(who === 'nobody' ? [401, 'not-signed-in'] : [403, 'not-allowed']);
    }
  });
});

describe.each(TOKENS)('a token of a manager with the role %s', (role) => {
  test('may use the routes of that role, and none that is about the person', async () => {
    await addPeople(book);
    const { accepted } = await book.people.makeToken({ person: 'M. Lund', name: 'script', role });
    const bearer = { authorization: `Bearer ${accepted?.token}` };
    for (const route of ROUTES) {
      const { status, code } = await ask(route, bearer);
      const may = rank(role) >= rank(route.least) && !route.isOfPerson;
      const answer = may ? [route.status, ELSE[route.status]] : [403, 'not-allowed'];
      expect([status, code], `${route.method} ${route.url}`).toEqual(answer);
    }
    const session = await app.inject({ url: '/api/session', headers: bearer });
    expect(session.json()).toMatchObject({ name: 'M. Lund', role, isSignInNeeded: true });
  });
});

test('the table above has every route of the server', async () => {
  const paths = Object.entries((await app.inject('/api/openapi.json')).json().paths as Record<string, object>);
  const served = paths.flatMap(([path, methods]) => Object.keys(methods).map((method) => `${method} ${path}`));
  const tried = ROUTES.map(
    ({ method, url }) => `${method.toLowerCase()} ${url.replace(/\?.*|[0-9a-f]{64}|none$/, '')}`,
  );
  for (const route of served) expect(tried).toContain(route.replace(/\{\w+\}/, ''));
});

test('a route that the table of roles does not have keeps the server from starting', async () => {
  const more = app.register(async (routes) => {
    routes.get('/api/extra', () => 'for whom?');
  });
  await expect(more).rejects.toThrow('GET /api/extra has no line in the table of roles');
});

test('HEAD is allowed to whom GET is', async () => {
  await addPeople(book);
  const head = async (cookie = {}) =>
    (await app.inject({ method: 'HEAD', url: '/api/entries', headers: cookie })).statusCode;
  expect([await head(), await head(await cookieOf(app, 'viewer'))]).toEqual([401, 200]);
});

test('a crew may correct entries, but not a map entry, which a manager may', async () => {
  await addPeople(book);
  const [crew, manager] = [await cookieOf(app, 'crew'), await cookieOf(app, 'manager')];
  await book.add(madeEntry(501));
  await book.add(madeEntry(502, ofMap));
  const correct = (n: number, corrects: string, headers: object) =>
    app.inject({
      method: 'POST',
      url: '/api/entries',
      headers: { ...json, ...headers },
      payload: JSON.stringify(madeEntry(n, { kind: 'correction', body: { corrects, note: 'it was another' } })),
    });
  expect((await correct(503, idOf(501), crew)).statusCode).toBe(201);
  const refused = await correct(504, idOf(502), crew);
  expect([refused.statusCode, refused.json().code]).toEqual([403, 'not-allowed']);
  expect((await correct(504, idOf(502), manager)).statusCode).toBe(201);
});

test('a server that others can reach lets nobody in unsigned, even where there are no people', async () => {
  const open = await buildApp(root, book, { isOpenToOthers: true });
  expect((await open.inject('/api/entries')).statusCode).toBe(401);
  expect((await open.inject('/api/session')).json()).toMatchObject({ name: null, role: null, isSignInNeeded: true });
  expect((await open.inject('/api/health')).statusCode).toBe(200);
  await open.close();
});
