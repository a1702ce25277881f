import { cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeEach, describe, expect, test } from 'vitest';
import { readLogFile, writeLogFile } from '../../src/faces/cli/log-file.ts';
import { noteOf, type SealedEntry } from '../../src/log-book/index.ts';
import { backUp, type LogBook, openLogStore } from '../../src/store/index.ts';
import { idOf, madeEntry } from '../log-book/made.ts';
import { runVerb } from '../support/cli.ts';

/**
 * Two books that were made by the version before maps, heads and accounts were part of a book: the folder of one, and an
 * export of it. Every later version opens, verifies, lists, exports and continues them. They are never opened where they lie.
 */
const BOOKS = fileURLToPath(new URL('./books', import.meta.url));
const HEADS = [
  { site: 'tarn-lane', seq: 10, hash: '766b673fcb0722d931f34e98bc3971431b523afde59a6e71baabd5efba70dace' },
  { site: 'west-yard', seq: 2, hash: '1636b35ccced4ce47a3b3d64d6931934c81934674ff78e3eb131a6c99329bd1e' },
];
const MAP = '25547652fadacad7ad7ab20eec376f87323323ac3bf977c648dec30ffcf4e5c8';

const folder = mkdtempSync(join(tmpdir(), 'oilshed-books-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));
let books = 0;
let path: string;
beforeEach(() => {
  path = join(folder, `book-${++books}`);
  cpSync(join(BOOKS, 'book'), path, { recursive: true });
  cpSync(join(BOOKS, 'book.zip'), `${path}.zip`);
});

async function entriesOf(store: LogBook): Promise<SealedEntry[]> {
  const entries: SealedEntry[] = [];
  for await (const page of store.pages()) entries.push(...page.map(({ text }) => JSON.parse(text) as SealedEntry));
  return entries;
}
async function inBook<T>(work: (store: LogBook) => Promise<T>, purpose?: 'read', at = path): Promise<T> {
  const store = await openLogStore({ folder: at, purpose });
  return work(store).finally(() => store.close());
}

describe('a book of the version before', () => {
  test.each(['read', undefined] as const)('verifies and lists, opened to %s', async (purpose) => {
    const found = await inBook((store) => store.verify(), purpose);
    expect(found).toMatchObject({ ok: true, entries: 12, photos: 2, maps: 1, heads: HEADS });
    expect(found.problems.map(({ code }) => code)).toEqual(purpose === 'read' ? ['no-heads'] : []);
    const entries = await inBook(entriesOf, purpose);
    expect(entries.map(({ site, seq, kind }) => `${site} ${seq} ${kind}`)).toEqual([
      ...['map', 'visit', 'finding', 'finding', 'spill', 'action', 'corrective', 'sample', 'correction', 'visit'].map(
        (kind, at) => `tarn-lane ${at + 1} ${kind}`,
      ),
      'west-yard 1 visit',
      'west-yard 2 action',
    ]);
    expect(noteOf(entries[8])).toBe('it was CB-4, größer, 油');
  });

  test('lets its people sign in, and takes new entries after its own', async () => {
    await inBook(async (store) => {
      expect((await store.people.list()).map(({ name, role }) => [name, role])).toEqual([
        ['A. Vance', 'crew'],
        ['M. Lund', 'manager'],
      ]);
      expect(await store.people.signIn('M. Lund', 'short-ten1')).toMatchObject({ person: { role: 'manager' } });
      expect(await store.people.signIn('M. Lund', 'another one')).toBeNull();
      expect((await store.add(madeEntry(100))).accepted).toMatchObject({ seq: 11 });
      const corrects = { corrects: idOf(2), note: 'it was 8 mm' };
      expect((await store.add(madeEntry(101, { kind: 'correction', body: corrects }))).accepted?.seq).toBe(12);
      expect((await store.add(madeEntry(102, { site: 'west-yard' }))).accepted?.seq).toBe(3);
    });
    expect(await inBook((store) => store.verify())).toMatchObject({ ok: true, entries: 15, problems: [] });
    const entries = await inBook(entriesOf);
    expect(entries[10].previous).toBe(HEADS[0].hash);
    expect(entries.filter((entry) => 'account' in entry)).toHaveLength(3);
  });

  test('is exported and backed up whole, and both are the same book', async () => {
    const out = `${path}-out.zip`;
    const exported = await inBook((store) => writeLogFile(out, store, {}), 'read');
    expect(exported).toEqual({ entries: 12, photos: 2, maps: 1, people: 0, heads: HEADS, problems: [] });
    const file = readLogFile(readFileSync(out));
    expect([file.entries.length, file.problems]).toEqual([12, []]);
    expect((await runVerb(['log', 'import', out, '--data', `${path}-in`])).status).toBe(0);
    expect(await backUp({ folder: path, to: `${path}-copy` })).toEqual([]);
    for (const copy of ['in', 'copy'])
      expect(await inBook((store) => store.verify(), undefined, `${path}-${copy}`), copy).toMatchObject({
        ...{ ok: true, entries: 12, photos: 2, maps: 1, heads: HEADS, problems: [] },
      });
  });

  test('whose map is gone says so as a warning, since it may never have been kept, and can still be exported', async () => {
    rmSync(join(path, 'maps'), { recursive: true });
    const lost = { code: 'map-not-kept', severity: 'warning', id: idOf(1), field: 'body.sha256' };
    expect(await inBook((store) => store.verify())).toMatchObject({ ok: true, maps: 1, problems: [lost] });
    expect((await runVerb(['log', 'export', '--out', `${path}-out.zip`, '--data', path])).status).toBe(0);
    expect((await runVerb(['log', 'import', `${path}-out.zip`, '--data', `${path}-in`])).status).toBe(0);
  });

  test('whose map was changed is not as it was accepted', async () => {
    writeFileSync(join(path, 'maps', MAP), '{}');
    const changed = { code: 'map-changed', severity: 'error', id: idOf(1) };
    expect(await inBook((store) => store.verify())).toMatchObject({ ok: false, problems: [changed] });
  });
});

test('an export of the version before comes in whole: its map was not in it, and that is a warning', async () => {
  const { entries, problems } = readLogFile(readFileSync(`${path}.zip`));
  expect(entries).toHaveLength(12);
  expect(problems.map(({ code }) => code)).toEqual(['no-heads']);
  expect((await runVerb(['log', 'import', `${path}.zip`, '--data', `${path}-in`])).status).toBe(0);
  const found = await inBook((store) => store.verify(), undefined, `${path}-in`);
  expect(found).toMatchObject({ ok: true, entries: 12, photos: 2, heads: HEADS, problems: [{ code: 'map-not-kept' }] });
  // Into the book that it was made of it brings nothing new.
  expect((await runVerb(['log', 'import', `${path}.zip`, '--data', path])).status).toBe(0);
  expect(await inBook((store) => store.verify())).toMatchObject({ ok: true, entries: 12, people: 0, problems: [] });
});
