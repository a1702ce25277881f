import { spawn, spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readdirSync, rmSync } from 'node:fs';
import { connect } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { DatabaseSync } from '@photostructure/sqlite';
import type { FastifyInstance } from 'fastify';
import { afterAll, afterEach, beforeEach, describe, expect, test } from 'vitest';
import { told } from '../../../src/catalogue/index.ts';
import { buildApp } from '../../../src/faces/server/app.ts';
import { listen } from '../../../src/faces/server/listen.ts';
import type { SealedEntry } from '../../../src/log-book/index.ts';
import { PROBLEM_CODES } from '../../../src/site-map/index.ts';
import { type LogBook, openLogStore, StoreFault } from '../../../src/store/index.ts';
import { idOf, madeEntry, madePhoto, sha256 } from '../../log-book/made.ts';

const root = process.cwd();
const made: string[] = [];
const folder = () => {
  const path = mkdtempSync(join(tmpdir(), 'oilshed-api-'));
  made.push(path);
  return path;
};
afterAll(() => {
  for (const path of made) rmSync(path, { recursive: true, force: true });
});

let data: string;
let store: LogBook;
let app: FastifyInstance;
beforeEach(async () => {
  data = folder();
  store = await openLogStore({ folder: data, patienceMs: 2000 });
  app = await buildApp(root, store);
});
afterEach(async () => {
  await app.close();
  await store.close();
});

const json = { 'content-type': 'application/json' };
const post = (payload: unknown, headers = {}) =>
  app.inject({
    method: 'POST',
    url: '/api/entries',
    headers: { ...json, ...headers },
    payload: typeof payload === 'string' ? payload : JSON.stringify(payload),
  });
const get = (url: string, headers = {}) => app.inject({ method: 'GET', url, headers });
const photo = (payload: Buffer, type = 'image/jpeg') =>
  app.inject({ method: 'POST', url: '/api/photos', headers: { 'content-type': type }, payload });

/** Holds a refusal against RFC 9457 and the codes of docs/errors.md, and gives back its problems by field. */
function problemsOf(reply: Awaited<ReturnType<typeof get>>, status: number, code: string) {
  expect(reply.headers['content-type']).toBe('application/problem+json');
  const details = reply.json();
  expect({ status: reply.statusCode, inBody: details.status, code: details.code }).toEqual({
    status,
    inBody: status,
    code,
  });
  expect(details).toMatchObject({
    type: expect.stringMatching(/^tag:/),
    title: expect.any(String),
    detail: expect.any(String),
  });
  for (const each of details.problems) expect(Object.keys(PROBLEM_CODES)).toContain(each.code);
  return details.problems as { field: string | null; message: string }[];
}

describe('entries over HTTP', () => {
  test('are accepted with 201, and the same entry again gets the same answer', async () => {
    const first = await post(madeEntry(1));
    expect(first.statusCode).toBe(201);
    expect(first.json()).toEqual({ id: idOf(1), seq: 1, hash: expect.stringMatching(/^[0-9a-f]{64}$/) });
    const again = await post(madeEntry(1));
    expect([again.statusCode, again.json()]).toEqual([201, first.json()]);
    problemsOf(await post(madeEntry(1, { by: 'M. Lund' })), 409, 'entry-conflict');
    const { entries, more } = (await get('/api/entries?site=tarn-lane')).json();
    expect([entries.length, more]).toEqual([1, false]);
    expect(entries[0]).toMatchObject({ ...madeEntry(1), ...first.json(), previous: null });
  });

  test('come out by site, after a number, so many', async () => {
    for (let n = 1; n <= 5; n++) await post(madeEntry(n, { site: n === 5 ? 'west-yard' : 'tarn-lane' }));
    const seqs = async (query: string) => {
      const { entries, more } = (await get(`/api/entries${query}`)).json();
      return [entries.map(({ site, seq }: SealedEntry) => `${site} ${seq}`).join(', '), more];
    };
    expect(await seqs('?site=tarn-lane&after=1&limit=2')).toEqual(['tarn-lane 2, tarn-lane 3', true]);
    expect(await seqs('?site=tarn-lane&after=3')).toEqual(['tarn-lane 4', false]);
    expect(await seqs('')).toEqual(['tarn-lane 1, tarn-lane 2, tarn-lane 3, tarn-lane 4, west-yard 1', false]);
    expect(await seqs('?site=nowhere')).toEqual(['', false]);
    expect(await seqs('?limit=1e9')).toEqual(await seqs(''));
    for (const query of ['?after=x', '?limit=-1', '?after=1.5'])
      problemsOf(await get(`/api/entries${query}`), 400, 'bad-field');
  });

  test('that are wrong are refused with everything that is wrong in them', async () => {
    const problems = problemsOf(
      await post({ ...madeEntry(1), by: '', at: 'noon', kind: 'spill', body: {} }),
      400,
      'bad-field',
    );
    expect(problems.map(({ field }) => field).sort()).toEqual(['at', 'body.fluid', 'body.litres', 'body.zone', 'by']);
    problemsOf(await post('{"id":'), 400, 'not-json');
    problemsOf(await post('null'), 400, 'bad-field');
    problemsOf(await post({ ...madeEntry(1), photos: [sha256(madePhoto(1))] }), 400, 'photo-missing');
    problemsOf(await post(madeEntry(1, { body: { note: 'x'.repeat(300_000) } })), 413, 'too-large');
    problemsOf(await post(madeEntry(1, { body: { note: 'x'.repeat(2_000_000) } })), 413, 'too-large');
    problemsOf(await post(madeEntry(1), { 'content-type': 'text/plain' }), 415, 'bad-request');
    problemsOf(await app.inject({ method: 'POST', url: '/api/entries' }), 400, 'bad-field');
    expect((await get('/api/entries')).json().entries).toEqual([]);
  });

  test('are JSON of a bounded length: photos and forms are not read here, nor is a long sign-in', async () => {
    const send = (url: string, type: string, payload: Buffer | string) =>
      app.inject({ method: 'POST', url, headers: { 'content-type': type }, payload });
    for (const url of ['/api/entries', '/api/session'])
      for (const type of ['image/jpeg', 'application/octet-stream', 'multipart/form-data; boundary=line'])
        problemsOf(await send(url, type, madePhoto(1, 2 ** 20)), 415, 'bad-request');
    problemsOf(await send('/api/session', 'application/json', ' '.repeat(9000)), 413, 'too-large');
    expect((await post(madeEntry(1, { body: { note: '\u4e95'.repeat(255_000) } }))).statusCode).toBe(201);
  });

  test('come out in parts of about 16 MB, and all of them', async () => {
    for (let n = 1; n <= 70; n++) await store.add(madeEntry(n, { body: { note: 'x'.repeat(250_000) } }));
    const parts: number[][] = [];
    for (let more = true; more; ) {
      const reply = await get(`/api/entries?site=tarn-lane&after=${parts.at(-1)?.at(-1) ?? 0}`);
      expect(reply.body.length).toBeLessThan(17 * 2 ** 20);
      parts.push(reply.json().entries.map(({ seq }: SealedEntry) => seq));
      more = reply.json().more;
    }
    expect(parts.map(({ length }) => length)).toEqual([67, 3]);
    expect(parts.flat()).toEqual(Array.from({ length: 70 }, (_, at) => at + 1));
  });

  test('whose text cannot be read any more are said to be damaged, wherever they are read', async () => {
    for (const n of [1, 2]) await store.add(madeEntry(n));
    const db = new DatabaseSync(join(data, 'log.sqlite'));
    db.exec(`drop trigger entries_update; update entries set entry = '{"at":' where seq = 1`);
    db.close();
    problemsOf(await get('/api/entries'), 500, 'log-damaged');
    problemsOf(await get('/api/calendar.ics?site=tarn-lane'), 500, 'log-damaged');
    problemsOf(await post(madeEntry(1)), 500, 'log-damaged');
    const correction = madeEntry(3, { kind: 'correction', body: { corrects: idOf(1), note: 'no' } });
    problemsOf(await post(correction), 500, 'log-damaged');
    expect((await get('/api/entries?after=1')).json().entries).toHaveLength(1);
  });

  test('of two crews that send at once all get numbers of their own, in one chain', async () => {
    const replies = await Promise.all(
      Array.from({ length: 30 }, (_, n) => post(madeEntry(n + 1, { by: n % 2 ? 'A' : 'B' }))),
    );
    expect(replies.map((reply) => reply.json().seq).sort((a, b) => a - b)).toEqual(replies.map((_, at) => at + 1));
    expect(await store.verify()).toMatchObject({ ok: true, entries: 30 });
  });

  test('with hostile text in every field come back as they were, as JSON that no browser takes for a page', async () => {
    const nasty = `<img src=x onerror=alert(1)>'); drop table entries;--`;
    const sent = madeEntry(1, { site: nasty, by: nasty, body: { [nasty]: nasty, constructor: nasty } });
    expect(
      (await post(JSON.stringify(sent).replace('"constructor"', '"__proto__":{"a":1},"constructor"'))).statusCode,
    ).toBe(201);
    const reply = await get(`/api/entries?site=${encodeURIComponent(nasty)}`);
    expect(reply.json().entries[0]).toMatchObject({ site: nasty, by: nasty });
    expect(reply.headers).toMatchObject({
      'content-type': 'application/json; charset=utf-8',
      'x-content-type-options': 'nosniff',
      'content-security-policy': expect.stringContaining("script-src 'self' 'wasm-unsafe-eval'"),
    });
    expect(reply.body).toContain('"__proto__":{"a":1}');
  });
});

describe('photos over HTTP', () => {
  const form = (bytes: Buffer, name = 'photo', file = 'lid.jpg') =>
    Buffer.concat([
      Buffer.from(
        `--line\r\nContent-Disposition: form-data; name="${name}"; filename="${file}"\r\nContent-Type: image/jpeg\r\n\r\n`,
      ),
      bytes,
      Buffer.from('\r\n--line--\r\n'),
    ]);
  const FORM = 'multipart/form-data; boundary=line';

  test('come in as bytes or as a form, and go out as what they are', async () => {
    for (const reply of [
      await photo(madePhoto(1)),
      await photo(form(madePhoto(1)), FORM),
      await photo(madePhoto(1), 'application/octet-stream'),
    ]) {
      expect([reply.statusCode, reply.json()]).toEqual([201, { sha256: sha256(madePhoto(1)) }]);
    }
    const reply = await get(`/api/photos/${sha256(madePhoto(1))}`);
    expect([reply.statusCode, reply.headers['content-type'], reply.headers['x-content-type-options']]).toEqual([
      200,
      'image/jpeg',
      'nosniff',
    ]);
    expect(reply.rawPayload).toEqual(madePhoto(1));
    expect(reply.headers['cache-control']).toBe('private, max-age=31536000, immutable');
    const { statusCode } = await post(madeEntry(1, { photos: [sha256(madePhoto(1))] }));
    expect(statusCode).toBe(201);
  });

  test('that are none, too large, or not there are refused', async () => {
    problemsOf(await photo(Buffer.from('<svg onload="alert(1)">')), 415, 'not-a-photo');
    problemsOf(await photo(form(Buffer.from('hello')), FORM), 415, 'not-a-photo');
    problemsOf(await photo(Buffer.from('--line--\r\n'), FORM), 400, 'bad-request');
    problemsOf(await photo(Buffer.from('{}'), 'application/json'), 415, 'bad-request');
    problemsOf(await photo(madePhoto(1), 'text/html'), 415, 'bad-request');
    const atLimit = madePhoto(1, 12 * 2 ** 20 - 8);
    expect((await photo(atLimit)).statusCode).toBe(201);
    expect((await photo(form(atLimit), FORM)).statusCode).toBe(201);
    const over = madePhoto(1, 12 * 2 ** 20 - 7);
    problemsOf(await photo(over), 413, 'too-large');
    problemsOf(await photo(form(over), FORM), 413, 'too-large');
    for (const name of [sha256(Buffer.from('none')), 'x', '..%2flog.sqlite', '%2e%2e%2flog.sqlite'])
      problemsOf(await get(`/api/photos/${name}`), 404, 'not-found');
    expect(readdirSync(join(data, 'photos'))).toEqual([sha256(atLimit)]);
  });

  test.each([
    ['bytes', 'image/jpeg', ''],
    [
      'a form',
      FORM,
      form(Buffer.from([0xff, 0xd8, 0xff]))
        .toString('latin1')
        .replace('\r\n--line--\r\n', ''),
    ],
  ])('that never end, sent as %s, are answered at the limit and cut off soon after', async (_, type, start) => {
    const address = new URL(await app.listen({ host: '127.0.0.1', port: 0 }));
    const socket = connect(Number(address.port), address.hostname);
    let answer = '';
    let sent = 0;
    let open = true;
    socket.on('data', (part) => {
      answer += part;
    });
    socket.on('close', () => {
      open = false;
    });
    socket.on('error', () => {});
    socket.write(
      `POST /api/photos HTTP/1.1\r\nHost: ${address.host}\r\nContent-Type: ${type}\r\nTransfer-Encoding: chunked\r\n\r\n`,
    );
    const chunk = (bytes: Buffer) =>
      Buffer.concat([Buffer.from(`${bytes.length.toString(16)}\r\n`), bytes, Buffer.from('\r\n')]);
    if (start) socket.write(chunk(Buffer.from(start, 'latin1')));
    const part = chunk(Buffer.alloc(2 ** 18));
    while (open && sent < 2 ** 28) {
      sent += part.length;
      if (!socket.write(part))
        await Promise.race([
          new Promise((resume) => socket.once('drain', resume)),
          new Promise((stop) => socket.once('close', stop)),
        ]);
      else await new Promise((resume) => setImmediate(resume));
    }
    expect(answer).toMatch(/^HTTP\/1\.1 413 /);
    expect(answer).toContain('"code":"too-large"');
    expect(sent).toBeLessThan(128 * 2 ** 20);
    expect(existsSync(join(data, 'photos'))).toBe(false);
  });

  test('a form that says how long it is, and is too long, is refused before it is read', async () => {
    const headers = { 'content-type': FORM, 'content-length': String(2 ** 30) };
    const reply = await app.inject({ method: 'POST', url: '/api/photos', headers, payload: Buffer.alloc(10) });
    problemsOf(reply, 413, 'too-large');
  });
});

describe('who may ask', () => {
  test('pages of another site and other names of this machine may not', async () => {
    for (const headers of [
      { origin: 'https://evil.example' },
      { origin: 'null' },
      { origin: 'http://127.0.0.1:9999' },
    ]) {
      problemsOf(await get('/api/entries', headers), 403, 'other-origin');
      problemsOf(await post(madeEntry(1), headers), 403, 'other-origin');
    }
    for (const headers of [
      { host: 'evil.example' },
      { host: 'evil.example:4650', origin: 'http://evil.example:4650' },
    ]) {
      problemsOf(await get('/api/entries', headers), 403, 'relayed');
      problemsOf(await post(madeEntry(1), headers), 403, 'relayed');
    }
    for (const host of ['127.0.0.1:4650', 'localhost:4650', '[::1]:4650'])
      expect((await get('/api/entries', { host, origin: `http://${host}` })).statusCode, host).toBe(200);
  });

  test('the server listens on no address that others can reach before there is a manager', async () => {
    await store.people.add({ name: 'J. Ortega', role: 'crew', password: 'oil floats on top' });
    for (const host of ['0.0.0.0', '::', '192.0.2.1', 'yard.example']) {
      await expect(listen({ root, port: 4650, host }), host).rejects.toThrow('people add NAME --role manager');
      await expect(listen({ root, port: 4650, host, log: store }), host).rejects.toThrow('has no manager yet');
    }
  });

  test('this machine may ask as often as it likes', async () => {
    const replies = await Promise.all(Array.from({ length: 400 }, () => get('/api/health')));
    expect(new Set(replies.map(({ statusCode }) => statusCode))).toEqual(new Set([200]));
  });
});

describe('the rest of the API', () => {
  test('the calendar has the corrective work of a site that is neither closed nor corrected', async () => {
    const corrective = (n: number, body: object) =>
      post(madeEntry(n, { kind: 'corrective', body: { due: '2026-06-30', note: `work ${n}`, ...body } }));
    await corrective(1, {});
    await corrective(2, { closed: '2026-06-01' });
    await corrective(3, { note: 'not meant\nBEGIN:VALARM' });
    await post(madeEntry(4, { kind: 'correction', body: { corrects: idOf(3), note: 'no' } }));
    await corrective(5, { due: '2026-07-01T08:30:00-06:00', note: 'mend; the kerb,\r\nEND:VEVENT' });
    await post(madeEntry(6, { site: 'west-yard', kind: 'corrective', body: { due: '2026-06-30', note: 'elsewhere' } }));
    const reply = await get('/api/calendar.ics?site=tarn-lane');
    expect([reply.statusCode, reply.headers['content-type']]).toEqual([200, 'text/calendar; charset=utf-8']);
    const lines = reply.body.replaceAll('\r\n ', '').split('\r\n');
    const linesOf = (name: string) => lines.filter((line) => line.startsWith(name));
    expect(linesOf('UID')).toEqual([`UID:${idOf(1)}@oilshed`, `UID:${idOf(5)}@oilshed`]);
    expect(linesOf('SUMMARY')).toEqual(['SUMMARY:work 1', 'SUMMARY:mend\\; the kerb\\,\\nEND:VEVENT']);
    expect(linesOf('DTSTART')).toEqual(['DTSTART;VALUE=DATE:20260630', 'DTSTART:20260701T143000Z']);
    expect(linesOf('BEGIN:')).toEqual(['BEGIN:VCALENDAR', 'BEGIN:VEVENT', 'BEGIN:VEVENT']);
    expect((await get('/api/calendar.ics?site=tarn-lane')).body).toBe(reply.body);
    problemsOf(await get('/api/calendar.ics'), 400, 'missing-field');
  });

  test('anything else under it is problem details too, and without a log book there is only the app', async () => {
    problemsOf(await get('/api/nothing'), 404, 'not-found');
    problemsOf(await get('/api/photos/%zz'), 400, 'bad-request');
    problemsOf(await get(`/api/photos/${'a'.repeat(3000)}`), 404, 'not-found');
    problemsOf(await app.inject({ method: 'DELETE', url: '/api/entries' }), 404, 'not-found');
    const bare = await buildApp(root);
    expect((await bare.inject('/api/health')).json()).toEqual({ ok: true, hasLogBook: false });
    expect((await bare.inject('/api/entries')).statusCode).toBe(404);
    await bare.close();
  });

  test('what the store cannot do is said with its code, and our own faults say nothing of the inside', async () => {
    const broken = (error: Error): LogBook => ({ ...store, add: () => Promise.reject(error), photos: store.photos });
    const cases: [Error, number, string][] = [
      [new StoreFault('log-busy', told('store.written-all-the-time'), told('store.try-again')), 503, 'log-busy'],
      [
        new StoreFault('log-unwritable', told('store.disk-full'), told('store.disk-full-remedy')),
        503,
        'log-unwritable',
      ],
      [new Error('secret: /home/someone'), 500, 'fault'],
    ];
    const { error: say } = console;
    const said: unknown[] = [];
    console.error = (...words) => said.push(...words);
    for (const [error, status, code] of cases) {
      const sick = await buildApp(root, broken(error));
      const reply = await sick.inject({
        method: 'POST',
        url: '/api/entries',
        headers: json,
        payload: JSON.stringify(madeEntry(1)),
      });
      problemsOf(reply, status, code);
      expect(reply.body).not.toContain('secret');
      await sick.close();
    }
    console.error = say;
    expect(said).toEqual([cases[2][0]]);
  });
});

test('oilshed serve keeps a log book from start to stop, and refuses an open address', async () => {
  const { DATABASE_URL: _, ...env } = process.env;
  const cli = join(root, 'dist', 'cli', 'oilshed.js');
  const place = join(folder(), 'book');
  const refusedHost = spawnSync(process.execPath, [cli, 'serve', '--host', '0.0.0.0', '--data', place], {
    env,
    encoding: 'utf8',
  });
  expect([refusedHost.status, refusedHost.stdout, existsSync(place)]).toEqual([2, '', false]);
  expect(refusedHost.stderr).toContain('oilshed people add NAME --role manager');

  const server = spawn(process.execPath, [cli, 'serve', '--data', place], {
    env,
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  const ended = new Promise((end) => server.once('exit', end));
  const address = await new Promise<string>((found) => {
    let text = '';
    server.stdout.on('data', (part) => {
      text += part;
      const at = /Oilshed is at (\S+)\n/.exec(text);
      if (at) found(at[1]);
    });
  });
  const reply = await fetch(`${address}/api/entries`, {
    method: 'POST',
    headers: json,
    body: JSON.stringify(madeEntry(1)),
  });
  expect([reply.status, (await reply.json()).seq]).toEqual([201, 1]);
  expect((await fetch(`${address}/`)).headers.get('content-type')).toContain('text/html');
  server.kill('SIGTERM');
  expect(await ended).toBe(0);
  const verify = spawnSync(process.execPath, [cli, 'log', 'verify', '--json', '--data', place], {
    env,
    encoding: 'utf8',
  });
  expect(JSON.parse(verify.stdout)).toMatchObject({ ok: true, entries: 1 });
});
