import { mkdtempSync, rmSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import { type LogBook, openLogStore } from '../../src/store/index.ts';

/** The library that hashes passwords, as the store has it: what it is asked for can be counted, and held up. */
const argon2 = createRequire(import.meta.url)('@node-rs/argon2') as typeof import('@node-rs/argon2');
const PASSWORD = 'seven lids deep';

let folder: string;
let book: LogBook;
let other: LogBook;
beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), 'oilshed-work-'));
  [book, other] = [await openLogStore({ folder }), await openLogStore({ folder })];
  await book.people.add({ name: 'M. Lund', role: 'manager', password: PASSWORD });
  await book.people.add({ name: 'A. Vale', role: 'manager', password: 'only looking at it' });
});
afterEach(async () => {
  vi.restoreAllMocks();
  await Promise.all([book.close(), other.close()]);
  rmSync(folder, { recursive: true, force: true });
});

test('an unknown name takes as much work as a wrong password: one check of a hash like any other, from the first on', async () => {
  const [verify, hash] = [vi.spyOn(argon2, 'verify'), vi.spyOn(argon2, 'hash')];
  const work = async (name: string, password: string) => {
    verify.mockClear();
    hash.mockClear();
    const session = await book.people.signIn(name, password);
    const settings = verify.mock.calls.map(([hashed]) => String(hashed).split('$').slice(1, 4).join(' '));
    return { isIn: session !== null, settings, hashes: hash.mock.calls.length };
  };
  const once = { settings: ['argon2id v=19 m=19456,t=2,p=1'], hashes: 0 };
  expect(await work('nobody', PASSWORD)).toEqual({ isIn: false, ...once });
  expect(await work('M. Lund', 'not this one')).toEqual({ isIn: false, ...once });
  expect(await work('nobody', PASSWORD)).toEqual({ isIn: false, ...once });
  expect(await work('M. Lund', PASSWORD)).toEqual({ isIn: true, ...once });
});

test('neither is answered before that check has come back', async () => {
  const real = argon2.verify;
  for (const name of ['nobody', 'M. Lund']) {
    const order: string[] = [];
    vi.spyOn(argon2, 'verify').mockImplementationOnce(async (...words) => {
      const isRight = await real(...words);
      // The database, all that is left to ask, has had time to answer several times over.
      for (let looks = 0; looks < 5; looks++) await other.people.list();
      order.push('checked');
      return isRight;
    });
    const session = await book.people.signIn(name, 'not this one');
    order.push('answered');
    expect(session).toBeNull();
    expect(order).toEqual(['checked', 'answered']);
  }
});

describe('while a password is checked', () => {
  /** Has something else done once the next password was looked at and before that is answered. */
  function inBetween(meanwhile: () => Promise<unknown>) {
    const real = argon2.verify;
    vi.spyOn(argon2, 'verify').mockImplementationOnce(async (...words) => {
      const isRight = await real(...words);
      await meanwhile();
      return isRight;
    });
  }
  function signInWhile(meanwhile: () => Promise<unknown>) {
    inBetween(meanwhile);
    return book.people.signIn('M. Lund', PASSWORD);
  }

  test('another password ends the sign-in, too, that began with the one before', async () => {
    expect(await signInWhile(() => other.people.setPassword('M. Lund', 'three dry gutters'))).toBeNull();
    expect(await book.people.sessions()).toEqual([]);
    expect(await signInWhile(async () => {})).toBeNull();
    expect(await book.people.signIn('M. Lund', 'three dry gutters')).not.toBeNull();
  });

  test('another password stays, though the one before it was to be changed', async () => {
    inBetween(() => other.people.setPassword('M. Lund', 'three dry gutters'));
    const answer = await book.people.changePassword('M. Lund', { now: PASSWORD, next: 'four rusty ladders' });
    expect(answer.problems.map(({ field }) => field)).toEqual(['password']);
    expect(await book.people.sessions()).toEqual([]);
    expect(await book.people.signIn('M. Lund', 'four rusty ladders')).toBeNull();
    expect(await book.people.signIn('M. Lund', 'three dry gutters')).not.toBeNull();
  });

  test('being removed, or removed and added again, ends it', async () => {
    expect(await signInWhile(() => other.people.remove('M. Lund'))).toBeNull();
    await book.people.add({ name: 'M. Lund', role: 'manager', password: PASSWORD });
    const again = async () => {
      await other.people.remove('M. Lund');
      await other.people.add({ name: 'M. Lund', role: 'viewer', password: 'three dry gutters' });
    };
    expect(await signInWhile(again)).toBeNull();
    expect(await book.people.sessions()).toEqual([]);
  });

  test('another role is that of the session', async () => {
    const session = await signInWhile(() => other.people.setRole('M. Lund', 'viewer'));
    expect((await book.people.session(String(session?.token)))?.person.role).toBe('viewer');
    expect(session?.person.role).toBe('viewer');
  });
});
