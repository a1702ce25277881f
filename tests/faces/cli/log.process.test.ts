import { existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { strFromU8, unzipSync, zipSync } from 'fflate';
import { afterAll, describe, expect, test } from 'vitest';
import type { SealedEntry } from '../../../src/log-book/index.ts';
import { idOf, madeEntry, madePhoto, sha256 } from '../../log-book/made.ts';
import { runVerb } from '../../support/cli.ts';
import { yardText } from '../../support/yard.ts';

const folder = mkdtempSync(join(tmpdir(), 'oilshed-log-cli-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));
const here = (name: string) => join(folder, name);

function write(name: string, content: string | Uint8Array): string {
  writeFileSync(here(name), content);
  return here(name);
}
const entryFile = (n: number, changes = {}) => write(`entry-${n}.json`, JSON.stringify(madeEntry(n, changes)));

const run = (...words: string[]) => program(['log', ...words]);
const program = (words: readonly string[], input: string | Uint8Array = '') => runVerb(words, { cwd: folder, input });
const objectOf = async (...words: string[]) => {
  const { status, stdout, lines } = await run(...words, '--json');
  return { status, lines, object: JSON.parse(stdout || 'null') };
};

describe('oilshed log', () => {
  test('adds, lists, verifies, exports and imports, with the objects that programs rely on', async () => {
    const photo = write('lid.jpg', madePhoto(1));
    const name = sha256(madePhoto(1));
    const first = await objectOf('add', entryFile(1), '--data', 'book', '--photo', photo);
    expect(first).toEqual({
      status: 0,
      lines: [],
      object: { id: idOf(1), seq: 1, hash: expect.stringMatching(/^[0-9a-f]{64}$/) },
    });
    expect((await objectOf('add', entryFile(1), '--photo', photo, '--data', 'book')).object).toEqual(first.object);
    await run('add', entryFile(2, { site: 'west-yard', by: '=1+1' }), '--data', 'book');
    await run(
      'add',
      entryFile(3, { kind: 'action', body: { action: 'swept', kilograms: 0.123456789012345 } }),
      '--data',
      'book',
    );

    const { object } = await objectOf('list', '--data', 'book');
    expect(object.entries.map(({ site, seq }: SealedEntry) => [site, seq])).toEqual([
      ['tarn-lane', 1],
      ['tarn-lane', 2],
      ['west-yard', 1],
    ]);
    expect(object.entries[0]).toMatchObject({
      ...madeEntry(1),
      photos: [name],
      hash: first.object.hash,
      previous: null,
    });
    const part = ['list', '--site', 'tarn-lane', '--after', '1', '--limit', '5', '--data', 'book'];
    expect((await objectOf(...part)).object.entries).toHaveLength(1);
    expect((await run('list', '--data', 'book')).stdout).toMatch(
      /tarn-lane +2 +2026-05-30T14:05:00-06:00 +action +J. Ortega \(this machine\) +Swept/,
    );

    // What was taken in comes out with all its digits: its hash is over them.
    const digits = (await run('list', '--data', 'book', '--json')).stdout.match(/-?\d+\.\d{13,}/g);
    expect(digits).toEqual(['0.123456789012345']);

    const verified = await objectOf('verify', '--data', 'book');
    expect(verified).toMatchObject({ status: 0, lines: [], object: { ok: true, entries: 3, photos: 1, problems: [] } });
    const head = object.entries[1].hash;

    const exported = await run('export', '--out', 'book.zip', '--data', 'book');
    expect(exported).toMatchObject({ status: 0, lines: [] });
    expect(exported.stdout).toContain(`tarn-lane: entry 2, hash ${head}`);
    const zip = unzipSync(readFileSync(here('book.zip')));
    expect(Object.keys(zip).sort()).toEqual([
      'entries.csv',
      'entries.jsonl',
      'export.json',
      'people.jsonl',
      `photos/${name}`,
    ]);
    const lines = strFromU8(zip['entries.jsonl']).trimEnd().split('\n');
    expect(lines.map((line) => JSON.parse(line))).toEqual(object.entries);
    expect(strFromU8(zip['entries.csv']).split('\r\n')).toHaveLength(5);
    expect(strFromU8(zip['entries.csv'])).toContain(",'=1+1,");
    expect(Buffer.from(zip[`photos/${name}`])).toEqual(madePhoto(1));
    const before = readFileSync(here('book.zip'));
    await run('export', '--out', 'book.zip', '--data', 'book');
    expect(readFileSync(here('book.zip'))).toEqual(before);

    expect((await objectOf('import', 'book.zip', '--data', 'copy')).object).toEqual({
      ...{ added: 3, present: 0, photos: 1 },
      ...{ maps: 0, people: 0, problems: [] },
    });
    expect((await objectOf('import', 'book.zip', '--data', 'copy')).object).toMatchObject({
      added: 0,
      present: 3,
      photos: 0,
    });
    expect((await objectOf('list', '--data', 'copy')).object).toEqual(object);
    expect(await objectOf('verify', '--data', 'copy', '--head', head)).toMatchObject({
      status: 0,
      object: { ok: true },
    });
    expect(await objectOf('verify', '--data', 'copy', '--head', 'f'.repeat(64))).toMatchObject({
      status: 1,
      object: { ok: false, problems: [{ code: 'chain-broken' }] },
    });
  });

  test('an entry, a photo and an export may come by standard input, one of them', async () => {
    const piped = (input: string | Uint8Array, ...words: string[]) =>
      program(['log', ...words, '--data', 'piped', '--json'], input);
    const entry = entryFile(81);
    expect((await piped(readFileSync(entry), 'add', '-')).status).toBe(0);
    expect((await piped(madePhoto(1), 'add', entryFile(82), '--photo', '-')).status).toBe(0);
    expect((await objectOf('list', '--data', 'piped')).object.entries[1].photos).toEqual([sha256(madePhoto(1))]);
    expect((await piped('', 'export', '--out', 'piped.zip')).status).toBe(0);
    rmSync(here('piped'), { recursive: true });
    const imported = await piped(readFileSync(here('piped.zip')), 'import', '-');
    expect(JSON.parse(imported.stdout)).toMatchObject({ added: 2, photos: 1 });
    const both = await piped(readFileSync(entry), 'add', '-', '--photo', '-');
    expect([both.status, both.stderr]).toEqual([2, expect.stringContaining('can be read once')]);
  });

  test('parts of a book, imported in order, make the whole', async () => {
    for (const n of [1, 2, 3]) await run('add', entryFile(n), '--data', 'whole');
    await run('export', '--out', 'part-1.zip', '--limit', '2', '--data', 'whole');
    await run('export', '--out', 'part-2.zip', '--after', '2', '--data', 'whole');
    expect(await run('import', 'part-2.zip', '--data', 'parts')).toMatchObject({ status: 1, stdout: '' });
    for (const part of ['part-1.zip', 'part-2.zip'])
      expect((await run('import', part, '--data', 'parts')).status).toBe(0);
    expect((await objectOf('list', '--data', 'parts')).object).toEqual(
      (await objectOf('list', '--data', 'whole')).object,
    );
  });

  test('says everything wrong with an entry, one line each, and takes nothing in', async () => {
    const file = write(
      'bad.json',
      JSON.stringify({ ...madeEntry(1), by: '', kind: 'spill', body: { litres: 'many' } }),
    );
    const { status, stdout, lines } = await run('add', file, '--data', 'none');
    expect([status, stdout]).toEqual([1, '']);
    expect(lines.map((line) => line.split(': ').slice(0, 3))).toEqual(
      ['by', 'body.litres', 'body.fluid', 'body.zone'].map((field) => [file, idOf(1), field]),
    );
    expect(existsSync(here('none'))).toBe(false);
    const text = write('text.json', 'at 14:05 I saw');
    expect((await run('add', text, '--data', 'none')).lines).toEqual([
      expect.stringMatching(/^.*text\.json: it is not JSON/),
    ]);
    expect((await run('add', 'gone.json')).lines).toEqual(['gone.json: there is no such file; check the name']);
  });

  test('refuses another entry under the same id, a photo that is none, and one that is too large', async () => {
    await run('add', entryFile(1), '--data', 'strict');
    expect(await run('add', entryFile(1, { by: 'M. Lund' }), '--data', 'strict')).toMatchObject({
      status: 1,
      lines: [
        expect.stringContaining(`${idOf(1)}: id: the log book has another entry with this id; send it under a new id`),
      ],
    });
    const page = write('page.jpg', '<html>');
    expect(await run('add', entryFile(2), '--photo', page, '--data', 'strict')).toMatchObject({
      status: 1,
      lines: [`${page}: it is no photo; name a JPEG, PNG, WebP or HEIC`],
    });
    const large = write('large.jpg', madePhoto(1, 12 * 2 ** 20));
    expect((await run('add', entryFile(2), '--photo', large, '--data', 'strict')).lines).toEqual([
      `${large}: it is over 12 MB; make it smaller`,
    ]);
    expect((await objectOf('list', '--data', 'strict')).object.entries).toHaveLength(1);
  });

  test('a folder without a book, a damaged book and an unwritable folder are each said in one line', async () => {
    mkdirSync(here('empty'), { recursive: true });
    for (const words of [['list'], ['verify'], ['export', '--out', 'x.zip']])
      expect(await run(...words, '--data', 'empty')).toMatchObject({
        status: 1,
        stdout: '',
        lines: ['empty: there is no log book in this folder; name its folder with --data, or add a first entry'],
      });
    mkdirSync(here('damaged'), { recursive: true });
    write('damaged/log.sqlite', 'no database '.repeat(100));
    expect(await objectOf('verify', '--data', 'damaged')).toMatchObject({
      status: 1,
      lines: [expect.stringMatching(/^damaged: log\.sqlite is damaged/)],
      object: { ok: false, entries: 0, problems: [{ code: 'log-damaged' }] },
    });
    expect((await run('list', '--data', 'damaged')).lines).toHaveLength(1);
    const file = write('a-file', '');
    expect(await run('add', entryFile(1), '--data', file)).toMatchObject({
      status: 1,
      lines: [`${file}: it is a file, not a folder; name a folder with --data`],
    });
  });

  test('an import that was changed, is none or names photos that are not there takes nothing in', async () => {
    await run('add', entryFile(1), '--data', 'source', '--photo', write('a.jpg', madePhoto(5)));
    await run('export', '--out', 'source.zip', '--data', 'source');
    const parts = unzipSync(readFileSync(here('source.zip')));
    const line = strFromU8(parts['entries.jsonl']);
    const zipOf = (name: string, entries: string, more = {}) =>
      write(name, zipSync({ 'entries.jsonl': Buffer.from(entries), ...more }));
    const photo = `photos/${sha256(madePhoto(5))}`;
    const patched = (name: string, changes: Record<string, Uint8Array>) =>
      write(name, zipSync({ ...parts, ...changes }));
    const { [photo]: _, ...withoutPhoto } = parts;
    const cases: [file: string, words: string][] = [
      [zipOf('changed.zip', line.replace('J. Ortega', 'M. Lund')), 'is not as it was accepted'],
      [zipOf('bare.zip', line), 'export.json is gone from it'],
      [write('no-photo.zip', zipSync(withoutPhoto)), 'it has 0 photos, and was written with 1'],
      [patched('swapped.zip', { [photo]: madePhoto(6) }), 'has other bytes than its name says'],
      [patched('more.zip', { 'other.txt': Buffer.from('x') }), 'other.txt is no part of an export'],
      [zipOf('words.zip', 'hello\n'), 'it is not JSON'],
      [zipOf('list.zip', '[]\n'), 'it is a list of 0'],
      [write('cut.zip', readFileSync(here('source.zip')).subarray(0, 300)), 'it is no zip, or is cut short'],
      [write('none.zip', ''), 'it is no export of a log book'],
      [write('other.zip', zipSync({ 'other.txt': Buffer.from('x') })), 'it is no export of a log book'],
      ['gone.zip', 'there is no such file'],
    ];
    for (const [file, words] of cases) {
      const { status, stdout, lines } = await run('import', file, '--data', 'target');
      expect([status, stdout, lines.length], file).toEqual([1, '', 1]);
      expect(lines[0]).toContain(words);
    }
    expect((await objectOf('import', 'source.zip', '--data', 'target')).object).toMatchObject({
      added: 1,
      present: 0,
      photos: 1,
    });
  });

  test('a device’s copy, a line for each entry, is taken over as an export is', async () => {
    await run('add', entryFile(1), '--data', 'read');
    await run('add', entryFile(2), '--data', 'read');
    await run('export', '--out', 'read.zip', '--data', 'read');
    const lines = strFromU8(unzipSync(readFileSync(here('read.zip')))['entries.jsonl']);
    const changed = write('changed.jsonl', lines.replace('J. Ortega', 'M. Lund'));
    expect((await run('import', changed, '--data', 'given')).lines[0]).toContain('is not as it was accepted');
    const copy = write('copy.jsonl', lines);
    expect((await objectOf('import', copy, '--data', 'given')).object).toMatchObject({
      added: 2,
      present: 0,
      photos: 0,
    });
    expect((await objectOf('verify', '--data', 'given')).object).toMatchObject({ ok: true, entries: 2 });
  });

  test('its findings stand wherever a file of findings may: --log, and --site where there are several', async () => {
    const yard = yardText({
      site: { name: 'Test yard', odds: { releaseLitres: 2, unmappedShare: 0 } },
      zones: {
        Z1: { oilLitresPerYear: 8, drainsTo: 'CB-1' },
        Z2: { oilLitresPerYear: 4, drainsTo: 'CB-2' },
      },
      structures: {
        'CB-1': { kind: 'catch-basin', holds: 0 },
        'CB-2': { kind: 'catch-basin', holds: 0 },
        'SEP-1': { kind: 'separator', holds: 0.9 },
        'OUT-1': { kind: 'outfall' },
      },
      links: {
        P1: { from: 'CB-1', to: 'SEP-1' },
        P2: { from: 'CB-2', to: 'SEP-1' },
        P3: { from: 'SEP-1', to: 'OUT-1' },
      },
    });
    const map = write('yard.geojson', yard);
    const seen = { since: '2026-03-01', seenAt: '2026-05-30' };
    const findings = [
      { id: 'F1', at: 'SEP-1', ...seen, amount: { litres: 5, factor: 1.2 } },
      { id: 'F2', at: 'CB-2', ...seen, seen: 'clean' },
    ];
    const file = write('yard.findings.json', JSON.stringify({ format: 'oilshed-findings', version: 1, findings }));
    for (const [n, body] of findings.entries())
      await run('add', entryFile(n + 1, { kind: 'finding', body }), '--data', 'found');
    await run(
      'add',
      entryFile(3, { kind: 'finding', body: { at: 'CB-1', ...seen, seen: 'clean' } }),
      '--data',
      'found',
    );
    await run(
      'add',
      entryFile(4, { kind: 'correction', body: { corrects: idOf(3), note: 'another lid' } }),
      '--data',
      'found',
    );
    for (const verb of ['sources', 'learn', 'upkeep', 'block'])
      expect(await program([verb, map, '--log', '--data', 'found', '--json', '--quiet']), verb).toEqual(
        await program([verb, map, '--findings', file, '--json', '--quiet']),
      );
    await run('add', entryFile(5, { site: 'west-yard' }), '--data', 'found');
    expect(await program(['sources', map, '--log', '--data', 'found'])).toMatchObject({
      status: 2,
      lines: [expect.stringContaining('write one with --site: tarn-lane, west-yard')],
    });
    expect((await program(['sources', map, '--log', '--site', 'tarn-lane', '--data', 'found'])).status).toBe(0);
    expect(await program(['sources', map, '--log', '--site', 'east', '--data', 'found'])).toMatchObject({
      status: 1,
      stdout: '',
    });
    for (const words of [[], ['--log', '--findings', file]])
      expect((await program(['sources', map, ...words])).status).toBe(2);
  });

  test('wrong words exit 2', async () => {
    for (const words of [[], ['export'], ['list', '--limit', 'x'], ['burn']])
      expect(await run(...words), words.join(' ')).toMatchObject({ status: 2, stdout: '' });
  });
});
