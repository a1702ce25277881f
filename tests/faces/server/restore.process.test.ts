import { copyFileSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { FastifyInstance } from 'fastify';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { buildApp } from '../../../src/faces/server/app.ts';
import { canonicalText, type SealedEntry } from '../../../src/log-book/index.ts';
import { type LogBook, openLogStore } from '../../../src/store/index.ts';
import { type Changes, chainOf, madeEntry, madePhoto, sha256 } from '../../log-book/made.ts';

let folder: string;
let log: LogBook;
let app: FastifyInstance;

beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), 'oilshed-restore-'));
  log = await openLogStore({ folder });
  app = await buildApp(process.cwd(), log);
});
afterEach(async () => {
  await app.close();
  await log.close();
  rmSync(folder, { recursive: true, force: true });
});

const made = (numbers: readonly number[], changes: Changes = {}) =>
  chainOf(numbers.map((number) => madeEntry(number, changes)));
const lines = (entries: readonly object[]) => entries.map((entry) => `${canonicalText(entry)}\n`).join('');

async function restore(payload: string) {
  const headers = { 'content-type': 'application/x-ndjson' };
  const { statusCode, body } = await app.inject({ method: 'POST', url: '/api/entries/restore', headers, payload });
  const answer = JSON.parse(body) as { code?: string; problems?: object[] };
  return { status: statusCode, ...answer };
}
const texts = async () => {
  const all: string[] = [];
  for await (const page of log.pages()) all.push(...page.map(({ text }) => text));
  return all;
};

describe('giving entries back to a log book that has lost them', () => {
  const chain = made([1, 2, 3, 4, 5]);

  test('what follows is taken over byte for byte, twice does no more than once, and the book is sound', async () => {
    expect(await restore(lines(chain.slice(0, 2)))).toMatchObject({ status: 201, added: 2, present: 0 });
    expect(await restore(lines(chain.slice(1)))).toMatchObject({ status: 201, added: 3, present: 1 });
    expect(await restore(lines(chain))).toMatchObject({ status: 201, added: 0, present: 5 });
    expect(await texts()).toEqual(chain.map((entry) => canonicalText(entry)));
    expect(await log.verify()).toMatchObject({ ok: true, entries: 5 });
  });

  test('a book that went on differently refuses them, and stays as it is', async () => {
    const other = made([1, 2, 9]);
    await log.takeOver(other);
    expect(await restore(lines(chain.slice(2)))).toMatchObject({ status: 409, code: 'entry-conflict' });
    // Nor is a gap left, or part of a list taken.
    expect(await restore(lines(made([6, 7, 8], { site: 'new' }).slice(1)))).toMatchObject({ status: 409 });
    expect(await restore(lines([...made([6], { site: 'new' }), chain[4]]))).toMatchObject({ status: 409 });
    expect(await texts()).toEqual(other.map((entry) => canonicalText(entry)));
  });

  test('what is not as it was sealed is refused, and so is what is no entry', async () => {
    const changed: SealedEntry = { ...chain[0], by: 'somebody else' };
    expect(await restore(lines([changed]))).toMatchObject({ status: 400, code: 'chain-broken' });
    expect(await restore(`${JSON.stringify(chain[0], null, 1).replaceAll('\n', ' ')}\n`)).toMatchObject({
      status: 400,
    });
    for (const text of ['', '\n\n', '[]', 'null', '{"id":1}', '['.repeat(200)])
      expect((await restore(text)).status, text.slice(0, 9)).toBe(400);
    expect(await restore('{}\n'.repeat(1001))).toMatchObject({ status: 413, code: 'too-large' });
    expect((await restore('{}\n'.repeat(900))).problems).toHaveLength(20);
    expect(await texts()).toEqual([]);
  });

  test('a book whose file alone was put back takes what it lost once that was accepted, and is sound again', async () => {
    await log.takeOver(chain.slice(0, 2));
    await log.close();
    copyFileSync(join(folder, 'log.sqlite'), join(folder, 'older'));
    log = await openLogStore({ folder });
    await log.takeOver(chain.slice(2));
    await log.close();
    copyFileSync(join(folder, 'older'), join(folder, 'log.sqlite'));
    await expect(openLogStore({ folder })).rejects.toMatchObject({ problem: { code: 'log-behind' } });
    const accepting = await openLogStore({ folder, purpose: 'accept' });
    await accepting.acceptHeads();
    await accepting.close();
    log = await openLogStore({ folder });
    app = await buildApp(process.cwd(), log);
    // In two parts, as a long copy is sent.
    expect(await restore(lines(chain.slice(2, 4)))).toMatchObject({ status: 201, added: 2 });
    expect(await restore(lines(chain.slice(4)))).toMatchObject({ status: 201, added: 1 });
    expect(await log.verify()).toMatchObject({ ok: true, entries: 5 });
  });

  test('an entry whose photo is lost as well is refused by name', async () => {
    const name = sha256(madePhoto(1));
    const [entry] = made([1], { photos: [name] });
    expect(await restore(lines([entry]))).toMatchObject({
      status: 400,
      code: 'photo-missing',
      problems: [{ id: entry.id, message: expect.stringContaining(name) }],
    });
    log.photos.save(madePhoto(1));
    expect(await restore(lines([entry]))).toMatchObject({ status: 201, added: 1 });
  });
});
