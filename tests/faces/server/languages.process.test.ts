import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { FastifyInstance, InjectOptions } from 'fastify';
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import { buildApp } from '../../../src/faces/server/app.ts';
import { calendarText } from '../../../src/faces/server/calendar-text.ts';
import { languageIn } from '../../../src/faces/server/voices.ts';
import { canonicalText } from '../../../src/log-book/index.ts';
import { readSiteMap } from '../../../src/site-map/index.ts';
import { type LogBook, openLogStore } from '../../../src/store/index.ts';
import { chainOf, idOf, madeEntry, madePhoto, sha256 } from '../../log-book/made.ts';
import { escapedWords, pseudoVoice } from '../../support/pseudo.ts';
import { yardText } from '../../support/yard.ts';
import { addPeople, cookieOf, MADE_PEOPLE } from './made-people.ts';

// Who asks for Spanish gets a language that does not exist: what no message of it said is in no language but English.
vi.mock('../../../src/catalogue/compiled/es.page.ts', async () => {
  const { pseudo } = await import('../../support/pseudo.ts');
  return { default: pseudo((await import('../../../src/catalogue/compiled/en.page.ts')).default) };
});
vi.mock('../../../src/catalogue/compiled/es.rest.ts', async () => {
  const { pseudo } = await import('../../support/pseudo.ts');
  return { default: pseudo((await import('../../../src/catalogue/compiled/en.rest.ts')).default) };
});

let data: string;
let book: LogBook;
let app: FastifyInstance;
beforeEach(async () => {
  data = mkdtempSync(join(tmpdir(), 'oilshed-languages-'));
  book = await openLogStore({ folder: data, now: () => '2026-06-02T08:00:00.000Z' });
  await book.add(madeEntry(1));
  app = await buildApp(process.cwd(), book);
});
afterEach(async () => {
  await app.close();
  await book.close();
  rmSync(data, { recursive: true, force: true });
});

const json = { 'content-type': 'application/json' };
const lines = { 'content-type': 'application/x-ndjson' };
const map = { 'content-type': 'application/geo+json' };
const photo = { 'content-type': 'image/jpeg' };
const form = { 'content-type': 'multipart/form-data; boundary=x' };
const post = (url: string, headers: object, payload: string | Buffer): InjectOptions => ({
  method: 'POST',
  url,
  headers: { ...headers },
  payload,
});
const postJson = (url: string, body: unknown) => post(url, json, JSON.stringify(body));
const brokenMap = () => {
  const broken = JSON.parse(readFileSync('site-maps/two-bay-garage.geojson', 'utf8'));
  broken.features[0].properties.kind = 'zome';
  broken.features[1].id = broken.features[2].id;
  return JSON.stringify(broken);
};

/** What the server refuses, of every route that can refuse something. */
const REFUSED: readonly InjectOptions[] = [
  { method: 'GET', url: '/nothing-here' },
  { method: 'GET', url: '/%' },
  { method: 'GET', url: '/api/entries?after=x&limit=-1' },
  { method: 'GET', url: '/api/events' },
  { method: 'GET', url: '/api/photos/none' },
  { method: 'GET', url: '/api/maps/none' },
  { method: 'GET', url: '/api/calendar.ics' },
  { method: 'GET', url: '/api/calendar.ics?site=tarn-lane&lang=xx' },
  { method: 'GET', url: '/api/calendar-address' },
  { method: 'GET', url: '/api/sessions?of=nobody' },
  { method: 'DELETE', url: '/api/sessions/none' },
  { method: 'DELETE', url: '/api/tokens/none' },
  postJson('/api/session', {}),
  postJson('/api/session', { name: 'M. Lund', password: 'not this one at all' }),
  postJson('/api/tokens', {}),
  postJson('/api/tokens', { name: '', role: 'crew' }),
  postJson('/api/entries', madeEntry(1, { body: { note: 'other content' } })),
  postJson('/api/entries', { ...madeEntry(2), id: 'no id', at: 'tomorrow', kind: 'visitation' }),
  postJson('/api/entries', { ...madeEntry(2), body: { condition: { packs: 'gone', oilMm: -1 } } }),
  postJson('/api/entries', madeEntry(2, { photos: [sha256(madePhoto(9))] })),
  postJson('/api/entries', madeEntry(2, { kind: 'map', body: { sha256: sha256(madePhoto(9)) } })),
  postJson('/api/entries', madeEntry(2, { kind: 'correction', body: { corrects: idOf(9), note: 'wrong' } })),
  postJson('/api/entries', []),
  post('/api/entries', json, '{"id":'),
  post('/api/entries', json, `{"a":1,"a":2}`),
  post('/api/entries', { 'content-type': 'text/plain' }, 'x'),
  post('/api/entries', json, ' '.repeat(2 ** 20 + 1)),
  post('/api/entries/restore', lines, ''),
  post('/api/entries/restore', lines, '{"x":1}\nnot json'),
  post('/api/entries/restore', lines, '{}\n'.repeat(1001)),
  post('/api/entries/restore', lines, canonicalText(chainOf([madeEntry(3), madeEntry(4)])[1])),
  post('/api/photos', photo, 'no photo'),
  post('/api/photos', form, '--x\r\n\r\n'),
  post('/api/photos', form, '--x--\r\n'),
  post('/api/photos', { ...photo, 'content-length': String(2 ** 25) }, 'x'),
  post('/api/maps', map, '[]'),
  post('/api/maps', map, '{"type":'),
  post('/api/maps', map, brokenMap()),
  { method: 'POST', url: '/api/maps' },
  { method: 'PUT', url: '/api/password', headers: json, payload: '{}' },
  {
    method: 'PUT',
    url: '/api/password',
    headers: json,
    payload: JSON.stringify({ password: MADE_PEOPLE.manager.password, newPassword: 'short' }),
  },
  {
    method: 'PUT',
    url: '/api/password',
    headers: json,
    payload: JSON.stringify({ password: MADE_PEOPLE.manager.password, newPassword: 'password1234' }),
  },
  {
    method: 'PUT',
    url: '/api/password',
    headers: json,
    payload: JSON.stringify({ password: 'not this one at all', newPassword: 'four lids under rain' }),
  },
];

/** What stands in messages as it is: names and ids, words of files and of the protocol, and what was sent. */
const NAMES = [
  'tarn-lane',
  'lost-site',
  'M. Lund',
  'J. Ortega',
  'A. Vale',
  'zome',
  'xx',
  'nobody',
  'gone',
  'tomorrow',
  'visitation',
];

async function refusalOf(request: InjectOptions, headers: object) {
  const reply = await app.inject({ ...request, headers: { ...request.headers, ...headers } });
  const name = `${request.method} ${request.url} ${String(request.payload ?? '').slice(0, 60)}`;
  expect(reply.headers['content-type'], name).toBe('application/problem+json');
  return { name, reply, details: reply.json() };
}

/** All that a person reads of a refusal. */
function textsOf({ title, detail, problems }: Record<string, string> & { problems: Record<string, string>[] }) {
  return [
    title,
    detail,
    ...problems.flatMap(({ message, cure, found = '', allowed = '' }) => [message, cure, found, allowed]),
  ];
}

describe('what is refused', () => {
  test.each(['nobody', 'viewer', 'manager', 'this machine'] as const)('is told in the language of %s', async (who) => {
    if (who !== 'this machine') await addPeople(book);
    const cookie = who === 'nobody' || who === 'this machine' ? {} : await cookieOf(app, who);
    const escaped: Record<string, string[]> = {};
    for (const request of REFUSED) {
      const { name, reply, details } = await refusalOf(request, { ...cookie, 'accept-language': 'es-MX,es;q=0.9' });
      expect(reply.headers['content-language'], name).toBe('es');
      const ids = details.problems.flatMap(({ id }: { id: string | null }) => id ?? []);
      const words = textsOf(details).flatMap((text) => escapedWords(text, [...NAMES, ...ids]));
      if (words.length > 0) escaped[name] = [...new Set(words)];
      const english = (await refusalOf(request, cookie)).details;
      expect([english.code, english.status, english.problems.length], name).toEqual([
        details.code,
        details.status,
        details.problems.length,
      ]);
      expect(JSON.stringify(english), name).not.toContain('⟦');
    }
    expect(escaped).toEqual({});
  });

  test('because another program passed it on, on the page for that too', async () => {
    const relayed = { via: '1.1 proxy', 'accept-language': 'es' };
    const { body, headers } = await app.inject({ url: '/', headers: relayed });
    expect(headers['content-language']).toBe('es');
    expect(body).toContain('<html lang="es">');
    expect(body).toContain('<code>oilshed serve</code>');
    const text = body.replace(/<style>.*?<\/style>/s, '').replace(/<[^>]*>/g, '');
    expect(escapedWords(text, ['via'])).toEqual([]);
    const { detail } = (await app.inject({ url: '/api/entries', headers: relayed })).json();
    expect(escapedWords(detail)).toEqual([]);
  });
});

test.each([
  [undefined, 'en'],
  ['', 'en'],
  ['de, fr;q=0.8', 'en'],
  ['es', 'es'],
  ['ES-mx', 'es'],
  ['en-US,en;q=0.9,es;q=0.8', 'en'],
  ['de,es;q=0.7,en;q=0.3', 'es'],
  ['en;q=0.5, es ; q=0.6', 'es'],
  ['es;q=0', 'en'],
  ['es;q=x,*', 'en'],
  [';;;,=;q', 'en'],
] as const)('of Accept-Language: %s, the catalogue’s language is %s', (header, language) => {
  expect(languageIn(header)).toBe(language);
});

describe('the calendar', () => {
  const yard = (language?: 'es' | 'en') =>
    yardText({
      site: { units: 'us', ...(language && { language }), contacts: [{ role: 'spill contractor', phone: '555-0121' }] },
      structures: { 'SEP-1': { kind: 'separator', lengthM: 2, widthM: 1 }, 'SEP-2': { kind: 'separator' } },
    });
  const summaries = async (url: string) =>
    [...(await app.inject(url)).body.replaceAll('\r\n ', '').matchAll(/SUMMARY:(.*)\r/g)].map(([, words]) => words);

  test('says all it says by the catalogue', async () => {
    const { map } = readSiteMap(yard());
    const entries = chainOf([
      madeEntry(1, { kind: 'corrective', body: { due: '2026-06-30' } }),
      madeEntry(2, {
        kind: 'finding',
        body: { at: 'SEP-1', since: '2026-01-01', seenAt: '2026-06-10', amount: { thicknessMm: 30, areaM2: 2 } },
      }),
    ]);
    const text = calendarText('tarn-lane', entries, map, await pseudoVoice(map.site)).replaceAll('\r\n ', '');
    const said = [...text.matchAll(/^(?:SUMMARY|DESCRIPTION|NAME|X-WR-CALNAME):(.*)\r$/gm)].map(([, words]) => words);
    expect(said).toHaveLength(2 + 3 + 2 + 2);
    expect(said.flatMap((words) => escapedWords(words, ['tarn-lane', 'spill contractor', 'SEP']))).toEqual([]);
  });

  test('speaks the language that is asked for, else that of the site, else English', async () => {
    const calendar = '/api/calendar.ics?site=tarn-lane';
    const useMap = async (n: number, text: string) =>
      book.add(madeEntry(n, { kind: 'map', body: { sha256: book.maps.save(Buffer.from(text)) } }));
    await useMap(11, yard());
    expect(await summaries(calendar)).toEqual(['Visit SEP-1', 'Visit SEP-2']);
    expect(await summaries(`${calendar}&lang=es`)).toEqual(['Inspeccionar SEP-1', 'Inspeccionar SEP-2']);
    await useMap(12, yard('es'));
    expect(await summaries(calendar)).toEqual(['Inspeccionar SEP-1', 'Inspeccionar SEP-2']);
    expect(await summaries(`${calendar}&lang=en`)).toEqual(['Visit SEP-1', 'Visit SEP-2']);
  });
});
