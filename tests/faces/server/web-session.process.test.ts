import { cpSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { FastifyInstance } from 'fastify';
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import { buildApp } from '../../../src/faces/server/app.ts';
import { type LogBook, openLogStore } from '../../../src/store/index.ts';
import { addPeople, MADE_PEOPLE } from './made-people.ts';

/** The page's own view of who is signed in, asking a real server through a browser's cookies. */
describe('the session as the page sees it', () => {
  let data: string;
  let book: LogBook;
  let app: FastifyInstance;
  let page: typeof import('../../../src/faces/web/state/session.ts');
  let cookie: string | undefined;
  let remoteAddress = '127.0.0.1';

  beforeEach(async () => {
    data = mkdtempSync(join(tmpdir(), 'oilshed-page-'));
    book = await openLogStore({ folder: data });
    app = await buildApp(process.cwd(), book);
    [cookie, remoteAddress] = [undefined, '127.0.0.1'];
    vi.stubGlobal('fetch', ask);
    vi.resetModules();
    page = await import('../../../src/faces/web/state/session.ts');
    const { speak } = await import('../../../src/faces/web/state/voice.ts');
    await speak('en');
  });
  afterEach(async () => {
    vi.unstubAllGlobals();
    await app.close();
    await book.close();
    rmSync(data, { recursive: true, force: true });
  });

  async function ask(url: string, { method, headers, body }: { method: 'GET'; headers?: HeadersInit; body?: string }) {
    const reply = await app.inject({
      method,
      url,
      headers: { ...Object.fromEntries(new Headers(headers)), ...(cookie && { cookie }) },
      payload: body,
      remoteAddress,
    });
    const [given] = reply.cookies;
    if (given) cookie = given.value === '' ? undefined : `${given.name}=${given.value}`;
    const text = reply.statusCode === 204 ? null : reply.body;
    return new Response(text, { status: reply.statusCode, headers: reply.headers as Record<string, string> });
  }
  const seen = () => ({
    hasLogBook: page.hasLogBook.value,
    name: page.person.value?.name ?? null,
    isSignInNeeded: page.isSignInNeeded.value,
  });
  const { crew } = MADE_PEOPLE;

  test('goes from this machine to nobody, to who signs in, and back', async () => {
    expect(seen()).toEqual({ hasLogBook: null, name: null, isSignInNeeded: false });
    await page.refreshSession();
    expect(seen()).toEqual({ hasLogBook: true, name: 'this machine', isSignInNeeded: false });
    await addPeople(book);
    await page.refreshSession();
    expect(seen()).toEqual({ hasLogBook: true, name: null, isSignInNeeded: true });
    expect(await page.signIn(crew.name, 'not this one')).toBe(
      'The name or the password is wrong. A manager can give you a new password.',
    );
    expect(await page.signIn(crew.name, crew.password)).toBeNull();
    expect(page.person.value).toEqual({ name: 'J. Ortega', role: 'crew' });
    await page.refreshSession();
    expect(seen()).toEqual({ hasLogBook: true, name: 'J. Ortega', isSignInNeeded: false });
    expect(await page.signOut()).toBeNull();
    expect([seen().isSignInNeeded, cookie]).toEqual([true, undefined]);
  });

  test('knows whose password must be changed before anything else, until it was', async () => {
    await app.close();
    await book.close();
    cpSync('tests/store/books/book', join(data, 'old'), { recursive: true });
    book = await openLogStore({ folder: join(data, 'old') });
    app = await buildApp(process.cwd(), book);
    const { changePassword } = await import('../../../src/faces/web/state/account.ts');
    expect(await page.signIn('M. Lund', 'short-ten1')).toBeNull();
    expect([page.mustChangePassword.value, page.person.value?.name]).toEqual([true, 'M. Lund']);
    expect(await changePassword('short-ten1', 'short-ten2')).toBe(
      'It has 10 characters; take one of 12 to 200 characters.',
    );
    expect(await changePassword('short-ten1', 'four lids under rain')).toBeNull();
    expect([page.mustChangePassword.value, page.person.value?.name]).toEqual([false, 'M. Lund']);
  });

  test('says how long to wait after too many tries', async () => {
    await addPeople(book);
    remoteAddress = '192.0.2.1';
    const said = await Promise.all(Array.from({ length: 11 }, (_, n) => page.signIn(`guess ${n}`, 'not this one')));
    expect(said.filter((words) => /^Too many tries\. Wait \d+ seconds\.$/.test(String(words)))).toHaveLength(1);
  });

  test('stays as it was without a network, and knows where there are pages alone', async () => {
    await addPeople(book);
    await page.signIn(crew.name, crew.password);
    vi.stubGlobal('fetch', () => Promise.reject(new TypeError('no network')));
    await page.refreshSession();
    expect(seen()).toEqual({ hasLogBook: true, name: 'J. Ortega', isSignInNeeded: false });
    const unreached = 'The log book cannot be reached. Try again when there is a network.';
    expect([await page.signIn('a', 'b'), await page.signOut()]).toEqual([unreached, unreached]);
    vi.stubGlobal('fetch', async () => new Response('busy', { status: 503 }));
    await page.refreshSession();
    expect(seen().hasLogBook).toBe(true);
    for (const pages of [new Response('', { status: 404 }), new Response('<!doctype html>', { status: 200 })]) {
      vi.stubGlobal('fetch', async () => pages);
      await page.refreshSession();
      expect(seen().hasLogBook).toBe(false);
    }
  });
});
