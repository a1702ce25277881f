import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { Agent, type IncomingHttpHeaders, request } from 'node:http';
import { request as secureRequest } from 'node:https';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { FastifyInstance } from 'fastify';
import { afterAll, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { freePort } from '../../../.scripts/debian.ts';
import { findNginx, startNginx } from '../../../.scripts/nginx.ts';
import { buildApp } from '../../../src/faces/server/app.ts';
import { type LogBook, openLogStore } from '../../../src/store/index.ts';
import { madeEntry } from '../../log-book/made.ts';
import { addPeople, MADE_PEOPLE, signIn } from './made-people.ts';

const root = process.cwd();
const folder = mkdtempSync(join(tmpdir(), 'oilshed-relay-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

interface Answer {
  status: number;
  headers: IncomingHttpHeaders;
  body: string;
}

/** Asks what listens at a port, under any Host. */
function ask(
  port: number,
  path: string,
  { method = 'GET', headers = {}, body, isSecure = false }: Partial<Asked> = {},
): Promise<Answer> {
  const at = { host: '127.0.0.1', port, path, method, headers, agent: isSecure ? undefined : new Agent() };
  return new Promise((resolve, reject) => {
    const asking = (isSecure ? secureRequest : request)({ ...at, rejectUnauthorized: false }, (reply) => {
      const parts: Buffer[] = [];
      reply.on('data', (part) => parts.push(part));
      reply.on('end', () =>
        resolve({
          status: reply.statusCode ?? 0,
          headers: reply.headers,
          body: Buffer.concat(parts).toString(),
        }),
      );
    });
    asking.on('error', reject);
    asking.end(body);
  });
}
interface Asked {
  method: string;
  headers: Record<string, string>;
  body: string;
  isSecure: boolean;
}

const json = { 'content-type': 'application/json' };
const newEntry = (n: number, headers = {}) => ({
  method: 'POST',
  headers: { ...json, ...headers },
  body: JSON.stringify(madeEntry(n)),
});

let nginx: string | null = null;
try {
  nginx = findNginx();
} catch (error) {
  console.warn((error as Error).message);
}

describe.skipIf(nginx === null)('behind nginx', () => {
  let app: FastifyInstance | undefined;
  let book: LogBook | undefined;
  let stop: (() => Promise<void>) | undefined;
  const ports: Record<string, number> = {};
  beforeAll(async () => {
    book = await openLogStore({ folder: join(folder, 'book') });
    app = await buildApp(root, book);
    const behind = await app.listen({ host: '127.0.0.1', port: 0 });
    const usual = [
      'proxy_set_header Host $host',
      'proxy_set_header X-Real-IP $remote_addr',
      'proxy_set_header X-Forwarded-For $proxy_add_x_forwarded_for',
      'proxy_set_header X-Forwarded-Proto $scheme',
    ];
    const made = spawnSync(
      'openssl',
      'req -x509 -newkey rsa:2048 -nodes -keyout key.pem -out cert.pem -days 2 -subj /CN=yard.example'.split(' '),
      { cwd: folder },
    );
    if (made.status !== 0) throw new Error('openssl made no certificate');
    const tls = `ssl_certificate ${folder}/cert.pem; ssl_certificate_key ${folder}/key.pem;`;
    const secured = (name: string) => (isSecure(name) ? ` ssl; ${tls}` : ';');
    const settings: Record<string, string[]> = {
      plainest: [],
      'HTTP/1.1': ['proxy_http_version 1.1'],
      'HTTP/1.1 and the Host that was asked': ['proxy_http_version 1.1', 'proxy_set_header Host $host'],
      'usual headers': usual,
      'usual headers over HTTP/1.1': ['proxy_http_version 1.1', ...usual],
      'ready for WebSockets': [
        'proxy_http_version 1.1',
        'proxy_set_header Upgrade $http_upgrade',
        'proxy_set_header Connection "upgrade"',
        'proxy_set_header Host $host',
      ],
      'plainest over TLS': [],
      'usual headers over TLS': usual,
    };
    const servers: string[] = [];
    for (const [name, lines] of Object.entries(settings)) {
      ports[name] = await freePort();
      const listen = `listen 127.0.0.1:${ports[name]}${secured(name)}`;
      const location = [...lines, `proxy_pass ${behind}`].map((line) => `${line};`).join(' ');
      servers.push(`server { ${listen} location / { ${location} } }`);
    }
    stop = await startNginx(servers.join('\n'), ports.plainest);
  });
  afterAll(async () => {
    await stop?.();
    await app?.close();
    await book?.close();
  });
  const isSecure = (name: string) => name.endsWith('TLS');
  const through = (name: string, path: string, asked: Partial<Asked> = {}) =>
    ask(ports[name], path, {
      ...asked,
      isSecure: isSecure(name),
      headers: { host: 'yard.example', ...asked.headers },
    });
  const entries = async () => (await book?.verify())?.entries;

  describe('while nobody signs in', () => {
    test.each([
      'plainest',
      'HTTP/1.1 and the Host that was asked',
      'usual headers',
      'usual headers over HTTP/1.1',
      'ready for WebSockets',
      'plainest over TLS',
      'usual headers over TLS',
    ])('with the settings %s, a stranger gets a page that says why, and nothing else', async (name) => {
      for (const path of ['/', '/site-maps/freight-depot.geojson', '/nothing']) {
        const page = await through(name, path);
        expect([page.status, page.headers['content-type']]).toEqual([403, 'text/html; charset=utf-8']);
        expect(page.body).toContain('oilshed people add');
        expect(page.headers['content-security-policy']).toMatch(/^default-src 'none'; style-src 'sha256-/);
        expect(page.headers['cache-control']).toBe('no-store');
      }
      for (const path of ['/api/entries', '/api/session', '/api/health', '/api/openapi.json', '/api/nothing']) {
        const { status, headers, body } = await through(name, path);
        expect([status, headers['content-type']], path).toEqual([403, 'application/problem+json']);
        expect(JSON.parse(body)).toMatchObject({ code: 'relayed', detail: expect.stringContaining('people add') });
      }
      const before = await entries();
      expect((await through(name, '/api/entries', newEntry(1))).status).toBe(403);
      expect(await entries()).toBe(before);
      // Whatever Host they write.
      if (name !== 'HTTP/1.1 and the Host that was asked')
        expect((await through(name, '/api/entries', newEntry(1, { host: 'localhost' }))).status).toBe(403);
    });

    test('with HTTP/1.1 and nothing else, a page is kept from writing, and a script cannot be told apart', async () => {
      const before = Number(await entries());
      const page = newEntry(100, { origin: 'http://yard.example' });
      expect((await through('HTTP/1.1', '/api/entries', page)).status).toBe(403);
      expect(await entries()).toBe(before);
      // docs/security-model.md and the server's first lines say so; where this changes they must too.
      expect((await through('HTTP/1.1', '/api/entries', newEntry(101))).status).toBe(201);
      const local = newEntry(102, { host: 'localhost' });
      expect((await through('HTTP/1.1 and the Host that was asked', '/api/entries', local)).status).toBe(201);
    });
  });

  describe('once people sign in', () => {
    beforeAll(async () => {
      if (book) await addPeople(book);
    });
    const session = (name: string, headers = {}, who: object = MADE_PEOPLE.crew) =>
      through(name, '/api/session', { method: 'POST', headers: { ...json, ...headers }, body: JSON.stringify(who) });

    test('they do so through any of them, and their page may write', async () => {
      let n = 200;
      for (const name of Object.keys(ports)) {
        expect((await through(name, '/')).status, name).toBe(200);
        expect((await through(name, '/api/entries')).status, name).toBe(401);
        const reply = await session(name);
        expect(reply.status, name).toBe(201);
        const cookie = String(reply.headers['set-cookie']).split(';')[0];
        // The Host must come through, so that the page's own origin can be told.
        const keepsHost = /Host|usual|WebSockets/.test(name);
        const own = keepsHost ? { origin: `${isSecure(name) ? 'https' : 'http'}://yard.example` } : {};
        const written = await through(name, '/api/entries', newEntry(n++, { cookie, ...own }));
        expect(written.status, name).toBe(201);
        const other = newEntry(n++, { cookie, origin: 'http://evil.example' });
        expect((await through(name, '/api/entries', other)).status, name).toBe(403);
      }
    });

    test('the cookie is for https alone where the proxy says that it is', async () => {
      const flags = async (name: string) => String((await session(name)).headers['set-cookie']);
      expect(await flags('usual headers over TLS')).toContain('; Secure');
      expect(await flags('usual headers')).not.toContain('; Secure');
    });

    test('tries are counted by who asks, where the proxy says so, else all that come through it together', async () => {
      const tries = async (name: string, headers: object) => {
        const wrong = (n: number) => ({ name: `guess ${n}`, password: 'not this one' });
        const replies = Array.from({ length: 12 }, (_, n) => session(name, headers, wrong(n)));
        return (await Promise.all(replies)).map(({ status }) => status).sort();
      };
      const limited = [...Array(10).fill(401), 429, 429];
      expect(await tries('usual headers', { 'x-forwarded-for': '203.0.113.5' })).toEqual(limited);
      expect((await session('usual headers', { 'x-forwarded-for': '203.0.113.6' })).status).toBe(201);
      expect(await tries('plainest', {})).toContain(429);
    });
  });
});

describe('oilshed serve --behind', () => {
  let book: LogBook;
  let app: FastifyInstance;
  beforeEach(async () => {
    book = await openLogStore({ folder: mkdtempSync(join(folder, 'behind-')) });
    return () => book.close();
  });
  const PROXY = '192.0.2.7';
  const secure = {
    'x-forwarded-proto': 'https',
    'x-forwarded-for': '198.51.100.1',
    'x-forwarded-host': 'yard.example',
  };
  const isSecure = async (remoteAddress: string) => {
    const reply = await signIn(app, MADE_PEOPLE.crew, { headers: secure, remoteAddress });
    return Boolean(reply.cookies[0]?.secure);
  };

  test('believes that proxy alone, and a network where one is given', async () => {
    await addPeople(book);
    for (const [behind, trusted, others] of [
      [[PROXY], [PROXY, `::ffff:${PROXY}`], ['192.0.2.8', '127.0.0.1', '::1']],
      [
        ['192.0.2.0/29', '2001:db8::1'],
        ['192.0.2.1', '2001:db8::1'],
        ['192.0.2.8', '2001:db8::2', '127.0.0.1'],
      ],
    ] as const) {
      app = await buildApp(root, book, { isOpenToOthers: true, behind: [...behind] });
      for (const address of trusted) expect(await isSecure(address), address).toBe(true);
      for (const address of others) expect(await isSecure(address), address).toBe(false);
      await app.close();
    }
  });

  test('counts tries by the address that it names; one that a client made up in front of it counts for nothing', async () => {
    await addPeople(book);
    app = await buildApp(root, book, { isOpenToOthers: true, behind: [PROXY] });
    const wrong = (from: string, remoteAddress = PROXY) =>
      signIn(
        app,
        { name: `guess ${from}`, password: 'not this one' },
        { headers: { 'x-forwarded-for': from }, remoteAddress },
      );
    const statuses = async (replies: ReturnType<typeof wrong>[]) =>
      (await Promise.all(replies)).map(({ statusCode }) => statusCode).sort();
    const limited = [...Array(10).fill(401), 429, 429];
    const made = Array.from({ length: 12 }, (_, n) => wrong(`203.0.113.${n}, 198.51.100.9`));
    expect(await statuses(made)).toEqual(limited);
    expect((await wrong('198.51.100.10')).statusCode).toBe(401);
    const unbelieved = Array.from({ length: 12 }, (_, n) => wrong(`203.0.113.${n}`, '192.0.2.99'));
    expect(await statuses(unbelieved)).toEqual(limited);
    await app.close();
  });
});
