import { spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { strToU8, zipSync } from 'fflate';
import { afterAll, describe, expect, test } from 'vitest';
import { madeEntry, madePhoto } from '../../log-book/made.ts';
import { runVerb } from '../../support/cli.ts';

const folder = mkdtempSync(join(tmpdir(), 'oilshed-hostile-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));
const cli = join(process.cwd(), 'dist', 'cli', 'oilshed.js');
const MB = 2 ** 20;

function write(name: string, content: string | Uint8Array): string {
  writeFileSync(join(folder, name), content);
  return join(folder, name);
}

/** Runs the built program with 100 MB for objects: where more is taken, it dies. */
function runInLittle(words: readonly string[]) {
  const { DATABASE_URL: _, OILSHED_DATA: __, ...own } = process.env;
  const { status, stdout, stderr } = spawnSync(process.execPath, ['--max-old-space-size=100', cli, ...words], {
    encoding: 'utf8',
    cwd: folder,
    env: { ...own, NO_COLOR: '1' },
    maxBuffer: 64 * MB,
  });
  return { status, stdout, lines: stderr.split('\n').filter((line) => line !== '') };
}

const run = (words: readonly string[], env: NodeJS.ProcessEnv = {}) => runVerb(words, { cwd: folder, env });

describe('what is made to fill memory is refused in 100 MB and one line', () => {
  test('brackets without end, as a map, findings, an entry or a layer', () => {
    const deep = write('deep.json', '['.repeat(20 * MB));
    const map = join(process.cwd(), 'site-maps', 'freight-depot.geojson');
    for (const words of [
      ['check', deep],
      ['sources', map, '--findings', deep],
      ['log', 'add', deep, '--data', 'none'],
      ['import', deep, '--kind', 'a=1:pipe', '--out', 'out.geojson'],
    ]) {
      const { status, lines } = runInLittle(words);
      expect([words[0], status, lines.filter((line) => line.includes('over 100 deep'))]).toEqual([
        words[0],
        1,
        [expect.stringContaining('deep.json')],
      ]);
    }
  });

  test('zips that unpack to a thousand times their size', () => {
    const bombs = {
      'letters.zip': 'a'.repeat(400 * MB),
      'lines.zip': 'x\n'.repeat(30 * MB),
    };
    for (const [name, text] of Object.entries(bombs)) {
      const zip = zipSync({ 'entries.jsonl': strToU8(text) });
      expect(zip.length).toBeLessThan(MB / 2);
      const { status, lines } = runInLittle(['log', 'import', write(name, zip), '--data', 'none']);
      expect([name, status, lines.length > 0, lines.length <= 201]).toEqual([name, 1, true, true]);
      expect(lines[0]).toContain(name);
    }
  }, 120_000);
});

test('a key that stands twice in an entry is told, and nothing is taken in', async () => {
  const text = JSON.stringify(madeEntry(1)).replace('"by":', '"by":"A. Vance","by":');
  const { status, lines } = await run(['log', 'add', write('twice.json', text), '--data', 'none']);
  expect([status, lines]).toEqual([1, [expect.stringMatching(/twice\.json: by: the key stands twice/)]]);
});

test('a photo for which a site has no room is told plainly', async () => {
  const entry = write('entry.json', JSON.stringify(madeEntry(1)));
  const words = ['log', 'add', entry, '--photo', write('lid.jpg', madePhoto(1, 20_000)), '--data', 'book'];
  const { status, lines } = await run(words, { OILSHED_PHOTO_QUOTA: '10kB' });
  expect(status).toBe(1);
  expect(lines).toEqual([
    expect.stringContaining('the photos of tarn-lane would take more than the 10 kB that they may'),
  ]);
  expect(await run(words, { OILSHED_PHOTO_QUOTA: 'much' })).toMatchObject({ status: 2 });
  expect(await run(words)).toMatchObject({ status: 0, lines: [] });
});

test('control characters in ids, names and notes are shown on a terminal, not obeyed', async () => {
  const nasty = '\u001b[31m\u202e\u0007\u{e0041}';
  const map = JSON.parse(readFileSync('site-maps/freight-depot.geojson', 'utf8'));
  map.site.name = `Depot${nasty}`;
  for (const feature of map.features) if (feature.properties.name) feature.properties.name += nasty;
  const text = JSON.stringify(map)
    .replaceAll('"Z4"', JSON.stringify(`Z4${nasty}`))
    .replaceAll('"CB-2"', JSON.stringify(`CB-2${nasty}`));
  const findingsText = readFileSync('site-maps/freight-depot.findings.json', 'utf8');
  const yard = write('nasty.geojson', text);
  const found = write('nasty.findings.json', findingsText.replaceAll('"CB-2"', JSON.stringify(`CB-2${nasty}`)));
  const note = write('note.json', JSON.stringify(madeEntry(2, { body: { note: `oil${nasty}`, at: `SEP${nasty}` } })));
  const zone = `Z4${nasty}`;
  const spill = ['--zone', zone, '--litres', '200', '--fluid', 'diesel'];
  const asked = [
    ['check', yard],
    ['shed', yard, '--at', 'SEP-1'],
    ['shed', yard, '--at', `nowhere${nasty}`],
    ['sources', yard, '--findings', found],
    ['spill', yard, ...spill],
    ['block', yard, ...spill],
    ['block', yard, '--findings', found],
    ['kits', yard, '--count', '2'],
    ['measures', yard, '--budget', '5000'],
    ['upkeep', yard, '--findings', found],
    ['learn', yard, '--findings', found],
    ['log', 'add', note, '--data', 'notes'],
    ['log', 'list', '--data', 'notes'],
    ['log', 'list', '--data', `no${nasty}book`],
  ];
  const leaks: string[][] = [];
  for (const words of asked) {
    const { stdout, lines } = await run(words);
    const shown = [...stdout.split('\n'), ...lines].filter((line) => /\p{C}/u.test(line));
    leaks.push(...shown.map((line) => [...words.slice(0, 2), JSON.stringify(line)]));
  }
  expect(leaks).toEqual([]);
  expect((await run(['check', yard])).stdout).toContain('\\u001b');
});
