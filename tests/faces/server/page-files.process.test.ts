import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { brotliDecompressSync, gunzipSync } from 'node:zlib';
import type { FastifyInstance } from 'fastify';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { buildApp } from '../../../src/faces/server/app.ts';
import { type LogBook, openLogStore } from '../../../src/store/index.ts';
import { madePhoto } from '../../log-book/made.ts';

const root = process.cwd();
const built = join(root, 'dist', 'web');
const assets = readdirSync(join(built, 'assets')).filter((name) => !/\.(br|gz)$/.test(name));
const FOREVER = 'public, max-age=31536000, immutable';

let data: string;
let book: LogBook;
let app: FastifyInstance;
beforeAll(async () => {
  data = mkdtempSync(join(tmpdir(), 'oilshed-files-'));
  book = await openLogStore({ folder: data });
  app = await buildApp(root, book);
});
afterAll(async () => {
  await app?.close();
  await book?.close();
  rmSync(data, { recursive: true, force: true });
});

const get = (url: string, encodings = 'gzip, deflate, br', headers = {}) =>
  app.inject({ method: 'GET', url, headers: { 'accept-encoding': encodings, ...headers } });

describe('the files of the page', () => {
  test('come as brotli, as gzip or as they are, whichever is asked for, and unpack to the same bytes', async () => {
    for (const name of [
      'index.html',
      'sw.js',
      'site-maps/freight-depot.geojson',
      ...assets.map((each) => `assets/${each}`),
    ]) {
      const plain = readFileSync(join(built, name));
      for (const [asked, encoding, unpack] of [
        ['gzip, deflate, br', 'br', brotliDecompressSync],
        ['gzip', 'gzip', gunzipSync],
        ['identity', undefined, (bytes: Buffer) => bytes],
      ] as const) {
        const { headers, rawPayload, statusCode } = await get(`/${name}`, asked);
        // A file of a line or two gets no shorter.
        const isPacked = plain.length > 500 || headers['content-encoding'] !== undefined;
        expect([statusCode, headers['content-encoding']], `${name} as ${asked}`).toEqual([
          200,
          isPacked ? encoding : undefined,
        ]);
        expect((isPacked ? unpack(rawPayload) : rawPayload).equals(plain), `${name} as ${asked}`).toBe(true);
        expect(headers.vary, name).toBe('accept-encoding');
        if (encoding && isPacked) expect(rawPayload.length, name).toBeLessThan(plain.length);
      }
    }
  });

  test('keep their media types, whichever way they come', async () => {
    const wasm = assets.find((name) => name.endsWith('.wasm'));
    for (const [url, type] of [
      ['/', /^text\/html/],
      ['/sw.js', /javascript/],
      [`/assets/${wasm}`, /^application\/wasm$/],
      ['/manifest.webmanifest', /^application\/manifest\+json/],
      ['/site-maps/freight-depot.geojson', /^application\/geo\+json/],
      ['/icon-192.png', /^image\/png$/],
    ] as const)
      for (const asked of ['br', 'identity'])
        expect((await get(url, asked)).headers['content-type'], url).toMatch(type);
  });

  test('named by their content are kept for ever, all else is asked about again and answered in a line', async () => {
    for (const name of assets) expect((await get(`/assets/${name}`)).headers['cache-control'], name).toBe(FOREVER);
    for (const url of [
      '/',
      '/index.html',
      '/sw.js',
      '/manifest.webmanifest',
      '/icon-192.png',
      '/site-maps/freight-depot.geojson',
    ]) {
      const { headers } = await get(url);
      expect(headers['cache-control'], url).toBe('no-cache');
      const again = await get(url, 'gzip, deflate, br', { 'if-none-match': headers.etag });
      expect([again.statusCode, again.rawPayload.length, again.headers['cache-control']], url).toEqual([
        304,
        0,
        'no-cache',
      ]);
      // What one encoding has is not what another has.
      if (headers['content-encoding']) expect((await get(url, 'identity')).headers.etag, url).not.toBe(headers.etag);
    }
  });

  test('hand out no packed file under its own name as the page, and none outside their folder', async () => {
    for (const url of ['/../package.json', '/..%2fpackage.json', '/assets/', '/site-maps/README.md', '/nothing'])
      expect((await get(url)).statusCode, url).toBe(404);
  });
});

describe('answers of the log book', () => {
  test('are kept nowhere, faults and refusals neither; photos under their own hash may be', async () => {
    const name = book.photos.save(madePhoto(1));
    for (const [url, status] of [
      ['/api/health', 200],
      ['/api/entries', 200],
      ['/api/session', 200],
      ['/api/openapi.json', 200],
      ['/api/entries?limit=x', 400],
      ['/api/nothing', 404],
      ['/nothing', 404],
      [`/api/photos/${'0'.repeat(64)}`, 404],
    ] as const) {
      const { headers, statusCode } = await get(url);
      expect([url, statusCode, headers['cache-control']]).toEqual([url, status, 'no-store']);
    }
    expect((await get(`/api/photos/${name}`)).headers['cache-control']).toBe('private, max-age=31536000, immutable');
  });
});
