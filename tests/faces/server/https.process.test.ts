import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import type { IncomingMessage } from 'node:http';
import { request } from 'node:https';
import type { AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { FastifyInstance } from 'fastify';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { buildApp } from '../../../src/faces/server/app.ts';
import { type LogBook, openLogStore } from '../../../src/store/index.ts';
import { addPeople, MADE_PEOPLE, signIn } from './made-people.ts';

const hasOpenssl = spawnSync('openssl', ['version']).status === 0;

describe.skipIf(!hasOpenssl)('with a certificate of its own', () => {
  let folder: string;
  let book: LogBook;
  let app: FastifyInstance;
  let ca: Buffer;
  beforeAll(async () => {
    folder = mkdtempSync(join(tmpdir(), 'oilshed-https-'));
    const words = 'req -x509 -newkey rsa:2048 -nodes -keyout key.pem -out cert.pem -days 2 -subj /CN=yard.example';
    expect(spawnSync('openssl', words.split(' '), { cwd: folder }).status).toBe(0);
    ca = readFileSync(join(folder, 'cert.pem'));
    book = await openLogStore({ folder: join(folder, 'book') });
    await addPeople(book);
    app = await buildApp(process.cwd(), book, { https: { cert: ca, key: readFileSync(join(folder, 'key.pem')) } });
    await app.listen({ host: '127.0.0.1', port: 0 });
  });
  afterAll(async () => {
    await app.close();
    await book.close();
    rmSync(folder, { recursive: true, force: true });
  });

  /** Asks over https, under any name. */
  function ask(host: string, path: string, { cookie, body }: { cookie?: string; body?: object } = {}) {
    const { port } = app.server.address() as AddressInfo;
    const headers = { host, ...(cookie && { cookie }), ...(body && { 'content-type': 'application/json' }) };
    return new Promise<{ headers: IncomingMessage['headers']; body: string }>((resolve, reject) => {
      const asked = request(
        { port, path, method: body ? 'POST' : 'GET', headers, ca, checkServerIdentity: () => undefined },
        async (reply) => {
          let text = '';
          for await (const part of reply) text += part;
          resolve({ headers: reply.headers, body: text });
        },
      );
      asked.on('error', reject);
      asked.end(body && JSON.stringify(body));
    });
  }
  const who = async (host: string, cookie: string) =>
    JSON.parse((await ask(host, '/api/session', { cookie })).body).name;

  test('browsers are told to come over https alone, on every page and answer, but not at this machine', async () => {
    for (const path of ['/', '/api/session', '/api/none', '/none']) {
      for (const host of ['yard.example', 'yard.example:4650', '192.0.2.7'])
        expect((await ask(host, path)).headers['strict-transport-security'], `${host} ${path}`).toBe(
          'max-age=15552000',
        );
      for (const host of ['localhost', 'localhost:4650', '127.0.0.1:4650', '[::1]:4650'])
        expect((await ask(host, path)).headers['strict-transport-security'], `${host} ${path}`).toBeUndefined();
    }
  });

  test('the cookie is bound to its host, and no other cookie is read there; at this machine it has its plain name', async () => {
    const { crew } = MADE_PEOPLE;
    const given = async (host: string) =>
      String((await ask(host, '/api/session', { body: crew })).headers['set-cookie']?.[0]);
    const [yard, local] = [await given('yard.example'), await given('localhost:4650')];
    expect(yard).toMatch(
      /^__Host-oilshed-session=[0-9a-f]{64}; Max-Age=2592000; Path=\/; HttpOnly; Secure; SameSite=Strict$/,
    );
    expect(local).toMatch(
      /^oilshed-session=[0-9a-f]{64}; Max-Age=2592000; Path=\/; HttpOnly; Secure; SameSite=Strict$/,
    );
    const [yardCookie, localCookie] = [yard.split(';')[0], local.split(';')[0]];
    expect(await who('yard.example', yardCookie)).toBe('J. Ortega');
    expect(await who('localhost:4650', localCookie)).toBe('J. Ortega');
    // One that was planted from beside, or in plain, is not read.
    expect(await who('yard.example', localCookie)).toBeNull();
    expect(await who('yard.example', `${localCookie}; ${yardCookie}`)).toBe('J. Ortega');
  });
});

test('over plain http there is neither; behind a proxy with https on this machine the cookie is bound, and the rest is the proxy’s', async () => {
  const folder = mkdtempSync(join(tmpdir(), 'oilshed-http-'));
  const book = await openLogStore({ folder });
  await addPeople(book);
  const app = await buildApp(process.cwd(), book);
  const asked = (headers: object) => signIn(app, MADE_PEOPLE.crew, { headers: { host: 'yard.example', ...headers } });
  const plain = await asked({});
  expect([plain.cookies[0].name, plain.cookies[0].secure]).toEqual(['oilshed-session', undefined]);
  const proxied = await asked({ 'x-forwarded-proto': 'https', 'x-forwarded-for': '192.0.2.7' });
  expect([proxied.cookies[0].name, proxied.cookies[0].secure]).toEqual(['__Host-oilshed-session', true]);
  for (const { headers } of [plain, proxied]) expect(headers['strict-transport-security']).toBeUndefined();
  await app.close();
  await book.close();
  rmSync(folder, { recursive: true, force: true });
});
