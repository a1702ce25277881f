import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { FastifyInstance } from 'fastify';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { buildApp } from '../../../src/faces/server/app.ts';
import { type LogBook, openLogStore } from '../../../src/store/index.ts';
import { idOf, madeEntry, sha256 } from '../../log-book/made.ts';
import { yardText } from '../../support/yard.ts';
import { addPeople, cookieOf, MADE_PEOPLE } from './made-people.ts';

let data: string;
let book: LogBook;
let app: FastifyInstance;
let time: string;
beforeEach(async () => {
  data = mkdtempSync(join(tmpdir(), 'oilshed-maps-'));
  time = '2026-06-02T08:00:00.000Z';
  book = await openLogStore({ folder: data, now: () => time });
  app = await buildApp(process.cwd(), book);
});
afterEach(async () => {
  await app.close();
  await book.close();
  rmSync(data, { recursive: true, force: true });
});

const get = (url: string, headers = {}) => app.inject({ method: 'GET', url, headers });
const postMap = (payload: string | Buffer, type = 'application/geo+json') =>
  app.inject({ method: 'POST', url: '/api/maps', headers: { 'content-type': type }, payload });
const refusal = (reply: Awaited<ReturnType<typeof get>>) => [reply.statusCode, reply.json().code];

const site = {
  timeZone: 'America/Denver',
  contacts: [
    { role: 'yard manager', name: 'R. Calloway', phone: '555-0110' },
    { role: 'spill contractor', name: 'Hollin; Spill, Crew', phone: '555-0121' },
  ],
};
const mapText = yardText({
  site,
  zones: { Z1: { oilLitresPerYear: 40, drainsTo: 'CB-1' } },
  structures: {
    'CB-1': { kind: 'catch-basin' },
    'SEP-1': { kind: 'separator', name: 'Main vault', lengthM: 2, widthM: 1 },
    'SEP-2': { kind: 'separator', lengthM: 2, widthM: 1 },
    OUT: { kind: 'outfall' },
  },
  links: { P1: { from: 'CB-1', to: 'SEP-1' }, P2: { from: 'SEP-1', to: 'SEP-2' }, P3: { from: 'SEP-2', to: 'OUT' } },
});
const mapName = sha256(Buffer.from(mapText));

describe('maps over HTTP', () => {
  test('come in as either kind of JSON, byte for byte, and go out again', async () => {
    const spaced = Buffer.from(`\uFEFF ${readFileSync('site-maps/freight-depot.geojson', 'utf8')}\n`);
    for (const type of ['application/geo+json', 'application/json', 'application/json; charset=utf-8']) {
      const reply = await postMap(spaced, type);
      expect([reply.statusCode, reply.json()]).toEqual([201, { sha256: sha256(spaced), site: 'tarn-lane-depot' }]);
    }
    expect(readdirSync(join(data, 'maps'))).toEqual([sha256(spaced)]);
    const reply = await get(`/api/maps/${sha256(spaced)}`);
    expect(reply.rawPayload).toEqual(spaced);
    expect(reply.headers).toMatchObject({
      'content-type': 'application/geo+json',
      'x-content-type-options': 'nosniff',
      'cache-control': 'private, max-age=31536000, immutable',
    });
    for (const name of [sha256(Buffer.from('none')), 'x', '..%2flog.sqlite'])
      expect(refusal(await get(`/api/maps/${name}`))).toEqual([404, 'not-found']);
  });

  test('that cannot be computed are refused with all that is wrong in them', async () => {
    const map = JSON.parse(mapText);
    map.features[0].properties.kind = 'zome';
    map.features[1].id = map.features[2].id;
    const reply = await postMap(JSON.stringify(map));
    const { problems } = reply.json();
    expect(reply.statusCode).toBe(400);
    expect(problems.map(({ code }: { code: string }) => code)).toEqual(
      expect.arrayContaining(['unknown-kind', 'duplicate-id']),
    );
    expect(refusal(await postMap('{"type":'))).toEqual([400, 'not-json']);
    expect(refusal(await postMap('[]'))).toEqual([400, 'not-a-site-map']);
    expect(refusal(await postMap(''))).toEqual([400, 'not-json']);
    expect(refusal(await app.inject({ method: 'POST', url: '/api/maps' }))).toEqual([400, 'bad-request']);
    expect(refusal(await postMap(mapText, 'text/plain'))).toEqual([415, 'bad-request']);
    expect(refusal(await postMap(Buffer.alloc(20 * 2 ** 20 + 1, ' ')))).toEqual([413, 'too-large']);
    expect(readdirSync(data)).not.toContain('maps');
  });

  test('with hostile text in every name stay text', async () => {
    const nasty = `</script><script>alert(1)</script>'); drop table entries;--`;
    const text = mapText.replaceAll('Main vault', nasty).replaceAll('R. Calloway', nasty);
    expect((await postMap(text)).statusCode).toBe(201);
    const reply = await get(`/api/maps/${sha256(Buffer.from(text))}`);
    expect([reply.body, reply.headers['content-type']]).toEqual([text, 'application/geo+json']);
  });

  test('a map entry is taken once its file is here, and not before', async () => {
    const entry = madeEntry(1, { kind: 'map', body: { sha256: mapName } });
    const postEntry = () =>
      app.inject({
        method: 'POST',
        url: '/api/entries',
        headers: { 'content-type': 'application/json' },
        payload: JSON.stringify(entry),
      });
    const refusedEntry = await postEntry();
    expect(refusal(refusedEntry)).toEqual([400, 'map-missing']);
    expect(refusedEntry.json().problems).toMatchObject([{ id: idOf(1), field: 'body.sha256' }]);
    expect((await postMap(mapText)).statusCode).toBe(201);
    expect((await postEntry()).statusCode).toBe(201);
  });
});

describe('the calendar', () => {
  /** The events of a calendar, each as its lines by name. */
  async function eventsOf(url = '/api/calendar.ics?site=tarn-lane') {
    const { body } = await get(url);
    const [, ...events] = body.replaceAll('\r\n ', '').split('BEGIN:VEVENT\r\n');
    return events.map((text) =>
      Object.fromEntries(
        // The event's own lines come before those of its reminder, so its own stand where both have one.
        text
          .split('\r\n')
          .reverse()
          .map((line) => [line.slice(0, line.indexOf(':')), line.slice(line.indexOf(':') + 1)]),
      ),
    );
  }
  const found = (n: number, at: string, thicknessMm: number) =>
    madeEntry(n, {
      kind: 'finding',
      at,
      body: { at: 'SEP-1', since: '2026-01-01', seenAt: at, amount: { thicknessMm, areaM2: 2 } },
    });
  const corrective = madeEntry(1, { kind: 'corrective', body: { due: '2026-06-30', note: 'mend the kerb' } });
  const mapEntry = (n: number, name: string) => madeEntry(n, { kind: 'map', body: { sha256: name } });

  test('has due visits where the map is kept: whole days, a reminder, the same UIDs as they move', async () => {
    await book.add(corrective);
    book.maps.save(Buffer.from(mapText));
    await book.add(mapEntry(2, mapName));
    rmSync(join(data, 'maps', mapName));
    expect(await eventsOf()).toHaveLength(1);
    book.maps.save(Buffer.from(mapText));
    const before = await eventsOf();
    expect(before.map(({ SUMMARY }) => SUMMARY).sort()).toEqual(
      ['Visit Main vault (SEP-1)', 'Visit SEP-2', 'mend the kerb'].sort(),
    );
    // Nobody read them: monthly from the first entry, 30 May in Denver.
    const unread = before.filter(({ SUMMARY }) => SUMMARY.startsWith('Visit'));
    for (const each of unread) {
      expect(each).toMatchObject({
        'DTSTART;VALUE=DATE': '20260629',
        'DTEND;VALUE=DATE': '20260630',
        DTSTAMP: '20260602T080000Z',
        TRIGGER: '-P1D',
        ACTION: 'DISPLAY',
        LOCATION: 'tarn-lane',
      });
      expect(each.DESCRIPTION).toContain('Nobody has measured the oil');
      expect(each.DESCRIPTION).not.toContain('555');
    }
    await book.add(found(3, '2026-06-10', 4));
    const after = await eventsOf();
    expect(after.map(({ UID }) => UID).sort()).toEqual(before.map(({ UID }) => UID).sort());
    const moved = after.find(({ SUMMARY }) => SUMMARY.includes('SEP-1'));
    expect(moved?.['DTSTART;VALUE=DATE']).toBe('20260710');
    expect(await eventsOf()).toEqual(after);
    expect(await eventsOf('/api/calendar.ics?site=west-yard')).toEqual([]);
    // Every line is ended (RFC 5545 §3.1), and a calendar has at least one component (RFC 5545 §3.6).
    const { body } = await app.inject('/api/calendar.ics?site=west-yard');
    expect(body).toMatch(/BEGIN:VTIMEZONE\r\n[\s\S]*END:VTIMEZONE\r\nEND:VCALENDAR\r\n$/);
  });

  test('says whom to call for a pump-out', async () => {
    book.maps.save(Buffer.from(mapText));
    await book.add(mapEntry(1, mapName));
    await book.add(found(2, '2026-06-10', 30));
    const full = (await eventsOf()).find(({ SUMMARY }) => SUMMARY.includes('SEP-1'));
    expect(full?.SUMMARY).toBe('Have Main vault (SEP-1) pumped out');
    expect(full?.DESCRIPTION).toContain('Hollin\\; Spill\\, Crew\\, 555-0121 (spill contractor).');
    expect(full?.DESCRIPTION).not.toContain('555-0110');
  });

  test('goes by the last map that stands: the one before where that was corrected, none where it is not kept', async () => {
    book.maps.save(Buffer.from(mapText));
    await book.add(mapEntry(1, mapName));
    const other = book.maps.save(Buffer.from('not here for long'));
    await book.add(mapEntry(2, other));
    rmSync(join(data, 'maps', other));
    expect(await eventsOf()).toEqual([]);
    await book.add(madeEntry(3, { kind: 'correction', body: { corrects: idOf(2), note: 'the wrong file' } }));
    expect(await eventsOf()).toHaveLength(2);
  });

  test('has work that is due at a time of the site, where its map is kept, and gives it no end', async () => {
    await book.add(madeEntry(1, { kind: 'corrective', body: { due: '2026-07-01T08:30:00', note: 'mend the kerb' } }));
    const timesOf = async () => {
      const { DTSTART, DTEND } = (await eventsOf()).find(({ SUMMARY }) => SUMMARY === 'mend the kerb') ?? {};
      return [DTSTART, DTEND];
    };
    expect(await timesOf()).toEqual(['20260701T083000Z', undefined]);
    book.maps.save(Buffer.from(mapText));
    await book.add(mapEntry(2, mapName));
    expect(await timesOf()).toEqual(['20260701T143000Z', undefined]);
  });

  test('is read by programs that cannot sign in, with the key to that site and nothing else', async () => {
    await book.add(corrective);
    await addPeople(book);
    expect(refusal(await get('/api/calendar-address?site=tarn-lane'))).toEqual([401, 'not-signed-in']);
    const viewer = await cookieOf(app, 'viewer');
    const pathOf = async (name: string) =>
      (await get(`/api/calendar-address?site=${encodeURIComponent(name)}`, viewer)).json().path as string;
    const path = await pathOf('tarn-lane');
    expect(path).toMatch(/^\/api\/calendar\.ics\?site=tarn-lane&name=A\.\+Vale&key=[0-9a-f]{64}$/);
    expect(await pathOf('tarn-lane')).toBe(path);
    const reply = await get(path);
    expect([reply.statusCode, reply.headers['content-type']]).toEqual([200, 'text/calendar; charset=utf-8']);
    expect(reply.body).toContain('mend the kerb');
    const key = path.slice(-64);
    for (const url of [
      '/api/calendar.ics?site=tarn-lane',
      '/api/calendar.ics?site=tarn-lane&key=',
      `/api/calendar.ics?site=tarn-lane&key=${key}`,
      `/api/calendar.ics?site=tarn-lane&name=A.+Vale&key=${key.slice(1)}`,
      `/api/calendar.ics?site=tarn-lane&name=A.+Vale&key=${'0'.repeat(64)}`,
      `/api/calendar.ics?site=tarn-lane&name=M.+Lund&key=${key}`,
      `/api/calendar.ics?site=tarn-lane&name=Nobody&key=`,
      `/api/calendar.ics?site=west-yard&name=A.+Vale&key=${key}`,
      `/api/calendar.ics?site=tarn-lane&name=A.+Vale&key=${key}&key=${key}`,
      `/api/entries?site=tarn-lane&name=A.+Vale&key=${key}`,
      `/api/events?site=tarn-lane&name=A.+Vale&key=${key}`,
    ])
      expect(refusal(await get(url)), url).toEqual([401, 'not-signed-in']);
    const nasty = `a&key=b'); drop table secrets;--<b>`;
    await book.add(madeEntry(5, { site: nasty }));
    expect((await get(await pathOf(nasty))).statusCode).toBe(200);
  });

  test('takes no key where nobody signs in; a key goes with its person, and with their password', async () => {
    await book.add(corrective);
    const addressOf = async (cookie = {}) => (await get('/api/calendar-address?site=tarn-lane', cookie)).json().path;
    expect(await addressOf()).toBe('/api/calendar.ics?site=tarn-lane');
    await addPeople(book);
    const { viewer, crew } = MADE_PEOPLE;
    const [first, other] = [
      await addressOf(await cookieOf(app, 'viewer')),
      await addressOf(await cookieOf(app, 'crew')),
    ];
    const status = async (path: string) => (await get(path)).statusCode;
    await book.people.remove(viewer.name);
    expect([await status(first), await status(other)]).toEqual([401, 200]);
    await book.people.add(viewer);
    await book.people.setPassword(crew.name, 'an entirely new one');
    expect([await status(first), await status(other)]).toEqual([401, 401]);
  });
});
