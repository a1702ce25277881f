import { spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { deflateSync } from 'node:zlib';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { findChromium } from '../../../src/faces/print/print-pdf.ts';
import { photoReader } from '../../../src/faces/print/report/photos.ts';
import type { NewEntry } from '../../../src/log-book/index.ts';
import { openLogStore, sha256 } from '../../../src/store/index.ts';
import { idOf, madeEntry } from '../../log-book/made.ts';
import { runVerb } from '../../support/cli.ts';
import { STEPS_ALL } from './all-steps.ts';
import { correction, entry, oil, visit } from './made.ts';

const folder = mkdtempSync(join(tmpdir(), 'oilshed-report-test-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));
const here = (name: string) => join(folder, name);

const DEPOT = join(process.cwd(), 'site-maps', 'freight-depot.geojson');
const chromium = findChromium(process.env);
const has = (program: string) => spawnSync(program, ['-v']).error === undefined;
const canRead = chromium !== null && has('pdfinfo') && has('pdftotext');
if (!canRead) {
  console.warn(
    'The PDF of reports is not tested: it takes a Chromium, pdfinfo and pdftotext (Debian: chromium, poppler-utils).',
  );
}

const CRC = Uint32Array.from({ length: 256 }, (_, n) => {
  let crc = n;
  for (let bit = 0; bit < 8; bit++) crc = crc & 1 ? 0xedb88320 ^ (crc >>> 1) : crc >>> 1;
  return crc;
});
function chunk(name: string, data: Buffer): Buffer {
  const body = Buffer.concat([Buffer.from(name, 'latin1'), data]);
  const crc = body.reduce((sum, byte) => CRC[(sum ^ byte) & 0xff] ^ (sum >>> 8), 0xffffffff) ^ 0xffffffff;
  const [length, check] = [Buffer.alloc(4), Buffer.alloc(4)];
  length.writeUInt32BE(data.length);
  check.writeUInt32BE(crc >>> 0);
  return Buffer.concat([length, body, check]);
}
/** A grey picture (PNG, ISO 15948) of so many pixels; another shade is another photo. */
function picture(width: number, height: number, shade: number): Buffer {
  const head = Buffer.alloc(13);
  head.writeUInt32BE(width, 0);
  head.writeUInt32BE(height, 4);
  head[8] = 8;
  const row = Buffer.concat([Buffer.from([0]), Buffer.alloc(width, shade)]);
  const rows = Buffer.concat(Array.from({ length: height }, () => row));
  const parts = [chunk('IHDR', head), chunk('IDAT', deflateSync(rows)), chunk('IEND', Buffer.alloc(0))];
  return Buffer.concat([Buffer.from('\x89PNG\r\n\x1a\n', 'latin1'), ...parts]);
}
const PHOTOS = [
  picture(400, 300, 40),
  picture(300, 400, 80),
  picture(480, 270, 120),
  picture(300, 300, 160),
  picture(9, 9, 200),
];
const NAMES = PHOTOS.map(sha256);

/** Width and height of a sheet in points: 210 × 297 mm, and 8.5 × 11 in. */
const SHEETS = { a4: [595, 842], letter: [612, 792] } as const;
/** A little less than the lower margin of a report. */
const MARGIN_PT = 18;

function read(file: string) {
  const info = spawnSync('pdfinfo', [file], { encoding: 'utf8' }).stdout;
  const [, width, height] = /^Page size:\s+([\d.]+) x ([\d.]+)/m.exec(info) ?? [];
  const boxes = spawnSync('pdftotext', ['-bbox', file, '-'], { encoding: 'utf8' }).stdout;
  const text = spawnSync('pdftotext', [file, '-'], { encoding: 'utf8', maxBuffer: 2 ** 26 }).stdout;
  return {
    pages: Number(/^Pages:\s+(\d+)/m.exec(info)?.[1]),
    size: [width, height].map((each) => Math.round(Number(each))),
    foot: Number(/yMax="([\d.]+)">Oilshed<(?![\s\S]*>Oilshed<)/.exec(boxes)?.[1]),
    texts: text.split('\f').map((page) => page.replace(/\s+/g, ' ')),
  };
}

const run = (words: readonly string[], env: NodeJS.ProcessEnv = {}) =>
  runVerb(['report', ...words], { cwd: folder, env });

const LONG = 'The loose pack had drifted against the outlet hood and was pushed back with a pole from above. '.repeat(
  60,
);

describe.skipIf(!canRead)('the PDF of a visit', () => {
  const crowded = (body = {}): NewEntry => ({
    ...visit(1, '2026-11-18T10:05:00-07:00', { note: LONG, ...body }),
    photos: NAMES,
    by: 'W. '.repeat(60).trim(),
  });
  const name = `Chamber ${'W'.repeat(60)}`;
  const chambers = Array.from({ length: 30 }, () => ({ name, oilMm: 30, areaM2: 1 }));
  const cases: [string, NewEntry[]][] = [
    ['four photos and a long note', [crowded(oil(9))]],
    ['all that can be wrong, and thirty chambers', [crowded({ condition: { ...STEPS_ALL, chambers } })]],
    ['corrections with long notes', [crowded(oil(9, STEPS_ALL)), correction(2, 1, LONG), correction(3, 1, LONG)]],
    ['no photo', [{ ...crowded(oil(9, STEPS_ALL)), photos: [] }]],
  ];
  const prints = [
    { paper: 'a4', language: 'en', said: ['Take care.', 'Signature', 'And 1 more in the log book.'] },
    { paper: 'letter', language: 'en', said: ['Take care.', 'Signature', 'And 1 more in the log book.'] },
    { paper: 'letter', language: 'es', said: ['Tenga cuidado.', 'Firma', 'Y 1 más en la bitácora.'] },
  ] as const;

  beforeAll(async () => {
    const store = await openLogStore({ folder: here('crowded') });
    for (const photo of PHOTOS) store.photos.save(photo);
    for (const [at, [, entries]] of cases.entries()) {
      // Ids are of the whole book: each case has a site and a hundred ids of its own.
      for (const each of entries) {
        const n = entries.indexOf(each) + 1 + 100 * at;
        const body = each.kind === 'correction' ? { ...each.body, corrects: idOf(1 + 100 * at) } : each.body;
        await store.add(madeEntry(n, { ...each, id: idOf(n), site: `case-${at}`, body }));
      }
    }
    await store.close();
    const map = JSON.parse(readFileSync(DEPOT, 'utf8'));
    map.site.name = `Depot ${'W'.repeat(90)}`;
    for (const { id, properties } of map.features) if (id === 'SEP-1') properties.name = `Separator ${'W'.repeat(90)}`;
    writeFileSync(here('crowded.geojson'), JSON.stringify(map));
  });

  test.each(prints.flatMap((print) => cases.map(([title, entries], at) => ({ ...print, title, entries, at }))))(
    'on $paper in $language with $title is one page, whole, and its text can be searched',
    async ({ paper, language, said, entries, at }) => {
      const out = `case-${at}-${paper}-${language}.pdf`;
      const { status, stdout, stderr } = await run([
        'crowded.geojson',
        ...['--data', 'crowded', '--visit', `case-${at}:1`, '--out', out, '--paper', paper],
        ...['--lang', language, '--json'],
      ]);
      expect([status, stderr]).toEqual([0, '']);
      const { head, photos, visit: seen } = JSON.parse(stdout);
      const hasPhotos = entries[0].photos?.length !== 0;
      expect(photos).toBe(hasPhotos ? 4 : 0);
      const { pages, size, foot, texts } = read(here(out));
      expect([pages, size]).toEqual([1, SHEETS[paper]]);
      // The last line stands above the lower margin: nothing was pushed off the sheet.
      expect(foot).toBeLessThan(SHEETS[paper][1] - MARGIN_PT);
      const [care, signature, more] = said;
      for (const words of [care, signature, seen.hash, head.hash]) expect(texts[0]).toContain(words);
      if (hasPhotos) expect(texts[0]).toContain(more);
    },
    60_000,
  );
});

/** Three hundred entries over the year: readings that fill it twice, and one of them corrected. */
function busyYear(): NewEntry[] {
  const made = Array.from({ length: 298 }, (_, n): NewEntry => {
    const at = new Date(Date.UTC(2026, 0, 2, 18) + n * 26 * 3600 * 1000).toISOString();
    if (n % 10 === 0) return visit(n + 1, at, oil((n % 150) / 6));
    if (n % 150 === 149) return entry(n + 1, { kind: 'action', at, body: { action: 'pump-out', at: 'SEP-1' } });
    return entry(n + 1, { kind: 'action', at, body: { action: 'swept', at: 'Z1', note: `round ${n}` } });
  });
  return [...made, correction(299, 11, 'read at the wrong lid'), visit(300, '2026-11-24', { at: 'SEP-9' })];
}

describe('the verb', () => {
  beforeAll(async () => {
    const store = await openLogStore({ folder: here('book') });
    for (const photo of PHOTOS) store.photos.save(photo);
    for (const each of busyYear()) await store.add(each.id === idOf(1) ? { ...each, photos: NAMES } : each);
    await store.add(entry(301, { kind: 'action', body: { action: 'drill' }, site: 'west-yard' }));
    await store.close();
  }, 60_000);
  const at = (...words: string[]) => [DEPOT, '--data', 'book', ...words];

  test.skipIf(!canRead)(
    'prints a record of 300 entries whose every page names the head',
    async () => {
      const { status, stdout, stderr } = await run(
        at('--site', 'tarn-lane', '--year', '2026', '--out', 'year.pdf', '--json'),
      );
      expect([status, stderr]).toEqual([0, '']);
      const { report, entries, photos, head, corrected, misfits } = JSON.parse(stdout);
      expect({ report, entries, photos, corrected, misfits }).toEqual({
        report: 'year',
        entries: 300,
        photos: 5,
        corrected: 1,
        misfits: 0,
      });
      const { pages, size, texts } = read(here('year.pdf'));
      expect(size).toEqual(SHEETS.letter);
      expect(pages).toBeGreaterThan(5);
      const printed = texts.slice(0, pages);
      for (const page of printed) expect(page).toContain(`entry 300, ${head.hash}`);
      for (const [n, page] of printed.entries()) expect(page).toContain(`page ${n + 1} of ${pages}`);
      for (const n of [1, 147, 297]) expect(printed.join(' ')).toContain(`round ${n}`);
      expect(printed.join(' ')).toContain('Corrected by entry 299.');
    },
    90_000,
  );

  test('writes HTML with no browser at hand, with photos in it that say no place', async () => {
    const { status, stdout } = await run(at('--visit', 'tarn-lane:1', '--out', 'visit.html', '--json'), {
      CHROMIUM_PATH: here('none'),
    });
    expect(status).toBe(0);
    const { report, entries, photos, head, visit: seen, correctedBy } = JSON.parse(stdout);
    expect({ report, entries, photos, correctedBy }).toEqual({
      report: 'visit',
      entries: 1,
      photos: 4,
      correctedBy: [],
    });
    expect(head).toEqual({ seq: 300, hash: expect.stringMatching(/^[0-9a-f]{64}$/) });
    expect(seen).toMatchObject({ id: idOf(1), seq: 1, structure: 'SEP-1', state: 'fine' });
    const page = readFileSync(here('visit.html'), 'utf8');
    expect(page.match(/<img src="data:image\/png;base64,/g)).toHaveLength(4);
    expect(page).toContain(seen.hash);
  });

  test('finds a visit by its id, its number with --site, and the last', async () => {
    const seqOf = async (...words: string[]) =>
      JSON.parse((await run(at(...words, '--out', 'x.html', '--json'))).stdout).visit.seq;
    expect(await seqOf('--visit', idOf(11))).toBe(11);
    expect(await seqOf('--visit', '21', '--site', 'tarn-lane')).toBe(21);
    const last = await run(at('--visit', 'last', '--site', 'tarn-lane', '--out', 'x.html'));
    expect([last.status, last.stderr]).toEqual([
      1,
      expect.stringMatching(/SEP-9: entry 300 is an inspection there, and it is no structure of this map; name/),
    ]);
    const corrected = JSON.parse((await run(at('--visit', 'tarn-lane:11', '--out', 'x.html', '--json'))).stdout);
    expect(corrected).toMatchObject({ correctedBy: [299], visit: { due: null } });
  });

  test('a year without entries is a record too', async () => {
    const { status, stdout } = await run(at('--site', 'west-yard', '--year', '1999', '--out', 'none.html'));
    expect([status, stdout]).toEqual([0, 'none.html: the record of 1999, 0 entries, 0 photos, Letter.\n']);
    expect(readFileSync(here('none.html'), 'utf8')).toContain('Nothing was written in the log book in 1999.');
  });

  test.each([
    [
      ['--visit', '999', '--site', 'tarn-lane'],
      /^book: --visit: there is no entry 999 of tarn-lane; see what there is with oilshed log list\n$/,
    ],
    [['--visit', idOf(998), '--site', 'tarn-lane'], /there is no entry 0197218a-\S+ of tarn-lane/],
    [['--visit', 'last', '--site', 'west-yard'], /there is no inspection of west-yard/],
    [
      ['--visit', 'tarn-lane:2'],
      /entry 2 of tarn-lane is of the kind action; name an inspection, or print the year with --year/,
    ],
    [['--year', '2026', '--site', 'north-yard'], /there is no entry of north-yard; add one first/],
  ])('says in one line what is wrong with %j', async (words, message) => {
    const { status, stdout, stderr } = await run(at(...words, '--out', 'never.html'));
    expect([status, stdout]).toEqual([1, '']);
    expect(stderr).toMatch(message);
    expect(stderr.trimEnd().split('\n')).toHaveLength(1);
    expect(existsSync(here('never.html'))).toBe(false);
  });

  test.each([
    [['--year', '2026'], /the log book has 2 sites; write one with --site: tarn-lane, west-yard/],
    [[], /write either --visit or --year/],
    [['--visit', '1', '--year', '2026'], /write only one of --visit and --year/],
    [['--visit', 'first'], /--visit is "first"; write an entry/],
    [['--year', '26'], /--year is "26"; write a year such as 2026/],
    [['--visit', 'a:1', '--site', 'b'], /leave out --site/],
    [['--year', '2026', '--paper', 'a5'], /--paper is "a5"; write one of a4, letter/],
  ])('refuses %j with exit status 2', async (words, message) => {
    const { status, stdout, stderr } = await run(at(...words, '--out', 'never.html'));
    expect([status, stdout]).toEqual([2, '']);
    expect(stderr).toMatch(message);
  });

  test('says what to do where the file’s name, the browser, the book or the folder is not right', async () => {
    const words = ['--visit', 'tarn-lane:1'];
    expect(await run(at(...words, '--out', 'x.doc'))).toMatchObject({
      status: 2,
      stderr: expect.stringMatching(/--out is "x\.doc"; write a name/),
    });
    const none = await run(at(...words, '--out', 'never.pdf'), { CHROMIUM_PATH: here('none') });
    expect(none).toMatchObject({
      status: 1,
      stderr: expect.stringMatching(/^report: no Chromium was found .*--out report\.html/),
    });
    const broken = await run(at(...words, '--out', 'never.pdf'), { CHROMIUM_PATH: process.execPath });
    expect(broken).toMatchObject({ status: 1, stderr: expect.stringMatching(/^report: .* made no PDF \(.*\)/) });
    const bookless = await run([DEPOT, '--data', 'nowhere', '--year', '2026', '--out', 'x.html']);
    expect(bookless).toMatchObject({
      status: 1,
      stderr: 'nowhere: there is no log book in this folder; name its folder with --data, or add a first entry\n',
    });
    expect(await run(at(...words, '--out', join('no', 'x.html')))).toMatchObject({
      status: 1,
      stderr: expect.stringMatching(/it could not be made/),
    });
    expect(existsSync(here('never.pdf'))).toBe(false);
  });

  test('a photo that was changed on the disk is left out, said on the page and on standard error', async () => {
    writeFileSync(here(join('book', 'photos', NAMES[1])), PHOTOS[0]);
    const { status, stderr } = await run(at('--visit', 'tarn-lane:1', '--out', 'changed.html'));
    expect([status, stderr]).toEqual([
      1,
      expect.stringContaining(`the photo ${NAMES[1]} was changed; restore it from an export`),
    ]);
    const page = readFileSync(here('changed.html'), 'utf8');
    expect(page.match(/<img /g)).toHaveLength(3);
    expect(page).toContain('A photo is left out: not as it was accepted.');
    writeFileSync(here(join('book', 'photos', NAMES[1])), PHOTOS[1]);
  });
});

describe('photos for a report', () => {
  test('HEIC does not print, and what cannot be freed of its place is left out, each with its reason', () => {
    const heic = Buffer.from('\0\0\0\x18ftypheic\0\0\0\0heicmif1', 'latin1');
    const torn = PHOTOS[0].subarray(0, 60);
    const kept = new Map([heic, torn].map((bytes) => [sha256(bytes), bytes]));
    const photos = photoReader((name) => kept.get(name) ?? null);
    expect(photos.read('e', [...kept.keys()], 4)).toEqual({
      shown: [],
      leftOut: ['report.photo-cannot-print', 'report.photo-cannot-lose-place'],
    });
    expect(photos.problems).toEqual([]);
    photos.read('e', ['0'.repeat(64)], 4);
    expect(photos.problems.map(({ code }) => code)).toEqual(['photo-missing']);
  });
});
