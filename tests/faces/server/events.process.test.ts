import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { FastifyInstance } from 'fastify';
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import { buildApp } from '../../../src/faces/server/app.ts';
import { liveOf } from '../../../src/faces/server/live.ts';
import { type LogBook, openLogStore } from '../../../src/store/index.ts';
import { madeEntry, siteOf } from '../../log-book/made.ts';
import { addPeople, cookieOf, MADE_PEOPLE } from './made-people.ts';

describe('events over HTTP', () => {
  let data: string;
  let book: LogBook;
  let app: FastifyInstance;
  let address: string;
  beforeEach(async () => {
    data = mkdtempSync(join(tmpdir(), 'oilshed-events-'));
    book = await openLogStore({ folder: data });
    app = await buildApp(process.cwd(), book);
    address = await app.listen({ host: '127.0.0.1', port: 0 });
  });
  afterEach(async () => {
    await app.close();
    await book.close();
    rmSync(data, { recursive: true, force: true });
  });

  /** Opens a stream; `next` gives one event after the other, null at the end. */
  async function open(site: string, headers = {}) {
    const leaving = new AbortController();
    const reply = await fetch(`${address}/api/events?site=${encodeURIComponent(site)}`, {
      headers,
      signal: leaving.signal,
    });
    const reader = reply.body?.pipeThrough(new TextDecoderStream()).getReader();
    let text = '';
    const next = async (): Promise<{ id: string; event: string; data: unknown } | null> => {
      for (;;) {
        const found = /id: (.*)\nevent: (.*)\ndata: (.*)\n\n/.exec(text);
        if (found) {
          text = text.slice(found.index + found[0].length);
          return { id: found[1], event: found[2], data: JSON.parse(found[3]) };
        }
        const part = await reader?.read().catch(() => undefined);
        if (!part || part.done) return null;
        text += part.value;
      }
    };
    return { reply, next, leave: () => leaving.abort() };
  }
  const post = (n: number, site = 'tarn-lane', headers = {}) =>
    fetch(`${address}/api/entries`, {
      method: 'POST',
      headers: { 'content-type': 'application/json', ...headers },
      body: JSON.stringify(madeEntry(n, { site })),
    });
  const event = (seq: number, site = 'tarn-lane') => ({ id: String(seq), event: 'entry', data: { site, seq } });

  test('tell of each entry of their site that is sent here, and of no other', async () => {
    await post(1);
    const { reply, next } = await open('tarn-lane');
    expect(reply.headers.get('content-type')).toBe('text/event-stream');
    expect(reply.headers.get('cache-control')).toBe('no-store');
    await post(2);
    expect(await next()).toEqual(event(2));
    await post(3, 'west-yard');
    await post(2);
    await post(4);
    expect(await next()).toEqual(event(3));
  });

  test('tell of what another program wrote', async () => {
    const { next } = await open('tarn-lane');
    const other = await openLogStore({ folder: data });
    for (const n of [1, 2]) await other.add(madeEntry(n));
    await other.close();
    expect(['1', '2']).toContain((await next())?.id);
  });

  test('tell who comes back what was missed, and take any site and header for text', async () => {
    for (const n of [1, 2, 3]) await post(n);
    expect(await (await open('tarn-lane', { 'last-event-id': '1' })).next()).toEqual(event(3));
    const nasty = `x'\n\ndata: <script>`;
    for (const [n, id] of ['-1', 'x', '1e99', '99'].entries()) {
      const { next } = await open('tarn-lane', { 'last-event-id': id });
      await post(10 + n);
      expect((await next())?.data, id).toEqual({ site: 'tarn-lane', seq: 4 + n });
    }
    const { reply, leave } = await open(nasty);
    expect(reply.status).toBe(200);
    leave();
  });

  test('leave room for others when their listener goes, however early', async () => {
    for (let round = 0; round < 5; round++) {
      const streams = Array.from({ length: 60 }, async (_, n) => {
        const leaving = new AbortController();
        const asked = fetch(`${address}/api/events?site=tarn-lane`, { signal: leaving.signal }).catch(() => null);
        if (n % 2) await asked;
        else await new Promise((later) => setTimeout(later, n % 7));
        leaving.abort();
        return (await asked)?.status ?? 200;
      });
      expect(new Set(await Promise.all(streams))).toEqual(new Set([200]));
    }
    await vi.waitUntil(() => new Promise<boolean>((tell) => app.server.getConnections((_, open) => tell(open < 10))));
    const { next } = await open('tarn-lane');
    await post(1);
    expect(await next()).toEqual(event(1));
  });

  test('end with the server, which does not wait for who listens', async () => {
    const streams = await Promise.all([1, 2, 3].map(() => open('tarn-lane')));
    const ended = Promise.all(streams.map(({ next }) => next()));
    await app.close();
    expect(await ended).toEqual([null, null, null]);
  });

  test('end with the session, and for this machine when people sign in', async () => {
    const unsigned = await open('tarn-lane');
    await addPeople(book);
    expect(await unsigned.next()).toBeNull();
    const crew = await cookieOf(app, 'crew');
    const signedIn = await open('tarn-lane', crew);
    await post(1, 'tarn-lane', crew);
    expect(await signedIn.next()).toEqual(event(1));
    await book.people.remove(MADE_PEOPLE.crew.name);
    expect(await signedIn.next()).toBeNull();
  });
});

describe('live', () => {
  beforeEach(() => {
    vi.useFakeTimers();
  });
  afterEach(() => {
    vi.useRealTimers();
  });
  const listenerOf = (live: ReturnType<typeof liveOf>, isAllowed = async () => true, name: string | null = null) =>
    live.listen({ sites: ['tarn-lane'], name, isAllowed });
  const read = (stream: { read(): Buffer | null }) => stream.read()?.toString() ?? '';

  test('looks only while somebody listens, says that it is there, and lets go who left or may not', async () => {
    let seq = 4;
    const heads = vi.fn(async () => [{ site: siteOf('tarn-lane'), seq, hash: null }]);
    const live = liveOf({ heads });
    await vi.advanceTimersByTimeAsync(60_000);
    expect(heads).toHaveBeenCalledTimes(0);
    let isAllowed = true;
    const [one, two] = [await listenerOf(live), await listenerOf(live, async () => isAllowed)];
    expect([read(one), read(two)]).toEqual([':\n\n', ':\n\n']);
    await vi.advanceTimersByTimeAsync(24_000);
    expect(read(one)).toBe('');
    await vi.advanceTimersByTimeAsync(2000);
    expect(read(one)).toBe(':\n\n');
    seq = 6;
    await vi.advanceTimersByTimeAsync(2000);
    expect(read(one)).toBe('id: 6\nevent: entry\ndata: {"site":"tarn-lane","seq":6}\n\n');
    isAllowed = false;
    await vi.advanceTimersByTimeAsync(2000);
    expect([one.writableEnded, two.writableEnded]).toEqual([false, true]);
    two.resume();
    one.destroy();
    await vi.advanceTimersByTimeAsync(2000);
    const looks = heads.mock.calls.length;
    expect(vi.getTimerCount()).toBe(0);
    await vi.advanceTimersByTimeAsync(60_000);
    expect(heads.mock.calls.length).toBe(looks);
  });

  test('a database that is away for a while is looked at again', async () => {
    const heads = vi.fn(async () => [{ site: siteOf('tarn-lane'), seq: 1, hash: null }]);
    const live = liveOf({ heads });
    const stream = await listenerOf(live);
    read(stream);
    heads
      .mockRejectedValueOnce(new Error('away'))
      .mockResolvedValueOnce([{ site: siteOf('tarn-lane'), seq: 2, hash: null }]);
    await vi.advanceTimersByTimeAsync(4000);
    expect(read(stream)).toContain('"seq":2');
    live.close();
    await vi.advanceTimersByTimeAsync(1);
    expect(vi.getTimerCount()).toBe(0);
    await expect(listenerOf(live)).rejects.toThrow();
  });

  test('has room for two hundred, and lets go who does not read', async () => {
    const live = liveOf({ heads: async () => [] });
    const streams = await Promise.all(Array.from({ length: 200 }, () => listenerOf(live)));
    await expect(listenerOf(live)).rejects.toMatchObject({ problems: [{ code: 'too-many-listeners' }] });
    for (let seq = 1; seq <= 3000 && !streams[0].destroyed; seq++) live.tell('tarn-lane', seq);
    expect(streams.every(({ destroyed }) => destroyed)).toBe(true);
    await vi.advanceTimersByTimeAsync(1);
    await expect(listenerOf(live)).resolves.toBeDefined();
    live.close();
  });

  test('has room for twenty of one person', async () => {
    const live = liveOf({ heads: async () => [] });
    const ofLund = () => listenerOf(live, undefined, 'M. Lund');
    const streams = await Promise.all(Array.from({ length: 20 }, ofLund));
    await expect(ofLund()).rejects.toMatchObject({ problems: [{ code: 'too-many-listeners' }] });
    await expect(listenerOf(live, undefined, 'J. Ortega')).resolves.toBeDefined();
    streams[0].destroy();
    await vi.advanceTimersByTimeAsync(1);
    await expect(ofLund()).resolves.toBeDefined();
    live.close();
  });
});
