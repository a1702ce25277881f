import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { strFromU8, strToU8, unzipSync, zipSync } from 'fflate';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { seededRandom } from '../../../src/algorithms/index.ts';
import { type LogFile, readLogFile, writeLogFile } from '../../../src/faces/cli/log-file.ts';
import { zipParts } from '../../../src/faces/cli/unzip.ts';
import { type LogBook, openLogStore } from '../../../src/store/index.ts';
import { madeEntry, madePhoto, sha256 } from '../../log-book/made.ts';

const folder = mkdtempSync(join(tmpdir(), 'oilshed-export-'));
const here = (name: string) => join(folder, name);
let store: LogBook;
let zip: Buffer;
let whole: LogFile;
let mapName: string;

beforeAll(async () => {
  store = await openLogStore({ folder: here('book') });
  const [one, two] = [1, 2].map((n) => store.photos.save(madePhoto(n)));
  mapName = store.maps.save(readFileSync('site-maps/freight-depot.geojson'));
  await store.add(madeEntry(1, { photos: [one, two] }));
  await store.add(madeEntry(2, { kind: 'map', body: { sha256: mapName } }));
  for (let n = 3; n <= 12; n++) await store.add(madeEntry(n, { site: n % 3 ? 'tarn-lane' : 'west-yard' }));
  await writeLogFile(here('book.zip'), store, {});
  zip = readFileSync(here('book.zip'));
  whole = readLogFile(zip);
});
afterAll(async () => {
  await store.close();
  rmSync(folder, { recursive: true, force: true });
});

const files = () => [
  ...[1, 2].map((n) => ({ kind: 'photo' as const, name: sha256(madePhoto(n)) })),
  { kind: 'map' as const, name: mapName },
];
/** All that an import would take from an export. */
const contentOf = ({ entries, file }: LogFile) => [
  entries,
  files().map((each) => sha256(file(each) ?? Buffer.alloc(0))),
];
const zipWith = (changes: Record<string, Uint8Array | null>) =>
  zipSync(
    Object.fromEntries(
      Object.entries({ ...unzipSync(zip), ...changes }).filter(
        (part): part is [string, Uint8Array] => part[1] !== null,
      ),
    ),
  );

test('an export says how much is in it, with the last entry of each site and the hashes of its texts', async () => {
  const parts = unzipSync(zip);
  expect(JSON.parse(strFromU8(parts['export.json']))).toEqual({
    format: 'oilshed-export',
    version: 1,
    ...{ entries: 12, photos: 2, maps: 1, people: 0 },
    heads: await store.heads(),
    sha256: Object.fromEntries(
      ['entries.jsonl', 'entries.csv', 'people.jsonl'].map((name) => [name, sha256(parts[name] ?? Buffer.alloc(0))]),
    ),
  });
  expect(Buffer.from(parts[`maps/${mapName}`])).toEqual(readFileSync('site-maps/freight-depot.geojson'));
  expect([whole.entries.length, whole.problems]).toEqual([12, []]);
});

test('a part of a book says what is in the part', async () => {
  const exported = await writeLogFile(here('part.zip'), store, { site: 'tarn-lane', after: 3, limit: 2 });
  expect(exported).toMatchObject({
    entries: 2,
    photos: 0,
    maps: 0,
    heads: [{ site: 'tarn-lane', seq: 5 }],
    problems: [],
  });
  expect(readLogFile(readFileSync(here('part.zip')))).toMatchObject({
    problems: [],
    entries: [{ seq: 4 }, { seq: 5 }],
  });
});

describe('an export that is not as it was written', () => {
  test('is refused wherever it was cut', () => {
    const cuts = [0, 1, 2, 4, zip.length - 1, zip.length - 22];
    for (let at = 7; at < zip.length; at += 97) cuts.push(at);
    for (const cut of cuts) {
      const { entries, problems } = readLogFile(zip.subarray(0, cut));
      expect([entries, problems.map(({ code }) => code)], String(cut)).toEqual([
        [],
        [cut < 2 ? 'bad-file' : 'export-changed'],
      ]);
    }
  });

  test('is refused whatever byte was changed, but for those that say nothing of what is in it', () => {
    const random = seededRandom(23);
    // Every byte of the directory, which is short, and bytes from everywhere else.
    const places = Array.from({ length: 400 }, () => Math.floor(random.uniform() * zip.length));
    const directory = zip.readUInt32LE(zip.length - 6);
    for (let at = directory; at < zip.length; at++) places.push(at);
    let refused = 0;
    for (const at of places) {
      const bytes = Buffer.from(zip);
      bytes[at] ^= 1 << Math.floor(random.uniform() * 8);
      const found = readLogFile(bytes);
      if (found.problems.some(({ severity }) => severity === 'error')) refused++;
      else expect([found.problems, contentOf(found)], `byte ${at}`).toEqual([[], contentOf(whole)]);
    }
    expect(refused).toBeGreaterThan(places.length / 2);
    // A byte of a file's own packed data is always found.
    for (const part of zipParts(zip)) {
      const bytes = Buffer.from(zip);
      bytes[part.at + 30 + Buffer.byteLength(part.name) + Math.floor(random.uniform() * part.packedBytes)] ^= 1;
      expect(readLogFile(bytes).problems, part.name).toMatchObject([{ code: 'export-changed' }]);
    }
  });

  test('is refused where lines, files or counts were taken out, put in or exchanged and it was zipped again', () => {
    const parts = unzipSync(zip);
    const lines = strFromU8(parts['entries.jsonl']).trimEnd().split('\n');
    const text = (kept: string[]) => strToU8(kept.map((line) => `${line}\n`).join(''));
    const [one, two] = [1, 2].map((n) => `photos/${sha256(madePhoto(n))}`);
    const map = `maps/${mapName}`;
    const said = JSON.parse(strFromU8(parts['export.json']));
    const says = (changes: object) => strToU8(JSON.stringify({ ...said, ...changes }));
    const cases: Record<string, Record<string, Uint8Array | null>> = {
      'the last line': { 'entries.jsonl': text(lines.slice(0, -1)) },
      'the last three lines': { 'entries.jsonl': text(lines.slice(0, -3)) },
      'the last line, and the count': {
        'entries.jsonl': text(lines.slice(0, -1)),
        'export.json': says({ entries: 11 }),
      },
      'a line in the middle': { 'entries.jsonl': text(lines.filter((_, at) => at !== 4)) },
      'two lines exchanged': { 'entries.jsonl': text([lines[1], lines[0], ...lines.slice(2)]) },
      'what it says': { 'export.json': null },
      'another version': { 'export.json': says({ version: 2 }) },
      'no JSON': { 'export.json': strToU8('{') },
      'other heads': { 'export.json': says({ heads: said.heads.slice(1) }) },
      'two photos exchanged': { [one]: parts[two], [two]: parts[one] },
      'a photo': { [one]: null },
      'a photo more': { [`photos/${sha256(madePhoto(3))}`]: madePhoto(3) },
      'another map': { [map]: strToU8('{}') },
      'the map': { [map]: null },
      'the table': { 'entries.csv': strToU8('site,seq\r\n') },
      'a program': { 'setup.exe': strToU8('x') },
    };
    for (const [what, changes] of Object.entries(cases)) {
      const { problems } = readLogFile(zipWith(changes));
      expect(problems.length, what).toBeGreaterThan(0);
      for (const each of problems) expect(each, what).toMatchObject({ code: 'export-changed', severity: 'error' });
    }
    const found = readLogFile(zipWith({}));
    expect([found.problems, contentOf(found)]).toEqual([[], contentOf(whole)]);
  });
});
