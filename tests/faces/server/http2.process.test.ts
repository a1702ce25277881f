import { once } from 'node:events';
import { mkdtempSync, rmSync } from 'node:fs';
import { type ClientHttp2Session, connect, constants, type OutgoingHttpHeaders } from 'node:http2';
import { request } from 'node:https';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { FastifyInstance } from 'fastify';
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import { buildApp } from '../../../src/faces/server/app.ts';
import { type LogBook, openLogStore } from '../../../src/store/index.ts';
import { madeEntry, madePhoto, sha256 } from '../../log-book/made.ts';
import { madeCertificate } from '../../support/certificate.ts';

const https = madeCertificate();
/** So long a request may take to come in whole. */
const TWO_MINUTES_MS = 120_000;

describe.skipIf(https === null)('a server with a certificate', () => {
  let data: string;
  let book: LogBook;
  let app: FastifyInstance;
  let address: string;
  let session: ClientHttp2Session;
  beforeEach(async () => {
    data = mkdtempSync(join(tmpdir(), 'oilshed-http2-'));
    book = await openLogStore({ folder: data });
    app = await buildApp(process.cwd(), book, { https: https ?? undefined });
    address = await app.listen({ host: '127.0.0.1', port: 0 });
    session = connect(address, { ca: https?.cert });
    session.on('error', () => {});
  });
  afterEach(async () => {
    vi.unstubAllGlobals();
    session.close();
    await app.close();
    await book.close();
    rmSync(data, { recursive: true, force: true });
  });

  /** Has two minutes go by in half a second. */
  function hurryCut(): void {
    const later = setTimeout;
    vi.stubGlobal('setTimeout', (work: () => void, ms: number) => later(work, ms === TWO_MINUTES_MS ? 500 : ms));
  }
  /** Begins a request of HTTP/2, with a body or without. */
  function begin(headers: OutgoingHttpHeaders, body?: string | Buffer) {
    const stream = session.request(headers, { endStream: body === undefined });
    stream.on('error', () => {});
    stream.setEncoding('utf8');
    if (body !== undefined) stream.write(body);
    return stream;
  }
  async function answerOf(headers: OutgoingHttpHeaders, body?: string | Buffer) {
    const stream = begin(headers, body);
    if (body !== undefined) stream.end();
    const [replied] = await once(stream, 'response');
    let text = '';
    for await (const part of stream) text += part;
    return { status: replied[':status'], headers: replied, text };
  }
  const post = { ':path': '/api/entries', ':method': 'POST', 'content-type': 'application/json' };

  test('answers HTTP/2 and HTTP/1.1 at one port alike', async () => {
    expect((await answerOf(post, JSON.stringify(madeEntry(1)))).status).toBe(201);
    const entries = await answerOf({ ':path': '/api/entries?site=tarn-lane' });
    const [older] = await once(
      // Node's own https speaks nothing newer.
      request(`${address}/api/entries?site=tarn-lane`, { ca: https?.cert }).end(),
      'response',
    );
    let text = '';
    for await (const part of older) text += part;
    expect([older.httpVersion, older.statusCode, text]).toEqual(['1.1', 200, entries.text]);
    expect(JSON.parse(text).entries).toHaveLength(1);
    expect((await answerOf({ ':path': '/', 'accept-encoding': 'br' })).headers['content-encoding']).toBe('br');
  });

  test('cuts a request that does not come in whole, and leaves a stream of events open as long as it is heard', async () => {
    hurryCut();
    const events = begin({ ':path': '/api/events?site=tarn-lane' });
    const [{ ':status': status, connection }] = await once(events, 'response');
    expect([status, connection]).toEqual([200, undefined]);
    const slow = begin(post, '{ "id":');
    await once(slow, 'close').catch(() => {});
    expect(slow.rstCode).toBe(constants.NGHTTP2_CANCEL);
    await book.add(madeEntry(2));
    let told = '';
    for await (const part of events) {
      told += part;
      if (told.includes('"seq":1')) break;
    }
    expect(told).toContain('"site":"tarn-lane"');
  });

  test.each(['here', 'there'])('takes nothing for whole that was cut %s', async (where) => {
    if (where === 'here') hurryCut();
    const photo = { ...post, ':path': '/api/photos', 'content-type': 'image/jpeg' };
    const slow = begin(photo, madePhoto(1));
    if (where === 'there') setTimeout(() => slow.destroy(new Error('gone')), 500);
    await once(slow, 'close').catch(() => {});
    // Once photos that came later are kept, it would be too.
    for (const n of [2, 3, 4, 5]) expect((await answerOf(photo, madePhoto(n))).status).toBe(201);
    expect(book.photos.has(sha256(madePhoto(1)))).toBe(false);
  });

  test('holds the heads of older requests to the same time', () => {
    expect(app.server.headersTimeout).toBe(20_000);
  });
});
