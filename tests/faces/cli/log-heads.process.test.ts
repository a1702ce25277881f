import { copyFileSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, test } from 'vitest';
import { idOf, madeEntry, sha256 } from '../../log-book/made.ts';
import { runVerb } from '../../support/cli.ts';

const folder = mkdtempSync(join(tmpdir(), 'oilshed-heads-cli-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));
const here = (name: string) => join(folder, name);

async function run(...words: string[]) {
  const { status, stdout, lines } = await runVerb(['log', ...words, '--quiet'], { cwd: folder });
  return { status, stdout, lines };
}
const objectOf = async (...words: string[]) => {
  const { stdout, ...rest } = await run(...words, '--json');
  return { ...rest, object: JSON.parse(stdout || 'null') };
};
function entryFile(n: number, changes = {}): string {
  writeFileSync(here(`entry-${n}.json`), JSON.stringify(madeEntry(n, changes)));
  return here(`entry-${n}.json`);
}
const add = async (data: string, ...numbers: number[]) => {
  for (const n of numbers) expect((await run('add', entryFile(n), '--data', data)).status).toBe(0);
};

const LISTED = ['list', '--data', 'restored', '--json'];

describe('oilshed log heads', () => {
  test('writes where each site ends; verify --heads holds the book against it later', async () => {
    await add('book', 1, 2);
    await run('add', entryFile(3, { site: 'west-yard' }), '--data', 'book');
    const { status, object } = await objectOf('heads', '--out', 'monday.heads', '--data', 'book');
    expect([status, object]).toEqual([
      0,
      {
        heads: [
          { site: 'tarn-lane', seq: 2, hash: expect.stringMatching(/^[0-9a-f]{64}$/) },
          { site: 'west-yard', seq: 1, hash: expect.stringMatching(/^[0-9a-f]{64}$/) },
        ],
      },
    ]);
    expect((await run('heads', '--data', 'book')).stdout).toBe(
      `tarn-lane: entry 2, hash ${object.heads[0].hash}\nwest-yard: entry 1, hash ${object.heads[1].hash}\n`,
    );
    await add('book', 4);
    expect(await objectOf('verify', '--heads', 'monday.heads', '--data', 'book')).toMatchObject({
      ...{ status: 0, lines: [] },
      object: { ok: true, entries: 4, photos: 0, maps: 0, people: 0, problems: [] },
    });
    // The whole folder as it might have been rewritten: sound in itself.
    await add('other', 1, 5);
    expect(await objectOf('verify', '--data', 'other')).toMatchObject({ status: 0, object: { ok: true } });
    const held = await objectOf('verify', '--heads', 'monday.heads', '--data', 'other');
    expect(held).toMatchObject({ status: 1, object: { ok: false } });
    expect(held.object.problems.map(({ code, message }: { code: string; message: string }) => [code, message])).toEqual(
      [
        ['log-behind', 'entry 2 of tarn-lane is another than the head that was kept of it'],
        ['log-behind', 'entry 1 is gone from the end of west-yard, by the head that was kept of it'],
      ],
    );
    expect(held.lines).toHaveLength(2);
  });

  test('that were changed, or are none, are told so', async () => {
    await add('small', 1);
    await run('heads', '--out', 'small.heads', '--data', 'small');
    writeFileSync(here('changed.heads'), readFileSync(here('small.heads'), 'utf8').replace('"seq":1', '"seq":2'));
    writeFileSync(here('none.heads'), '{}');
    for (const [file, words] of [
      ['changed.heads', 'its heads do not give its SHA-256'],
      ['none.heads', 'format: it is missing'],
      ['gone.heads', 'there is no such file'],
    ]) {
      const { status, stdout, lines } = await run('verify', '--heads', file, '--data', 'small');
      expect([status, stdout]).toEqual([1, '']);
      expect(lines[0]).toContain(words);
    }
  });

  test('refuse entries to an older copy until it is accepted, which verify and list say from then on', async () => {
    await add('restored', 1);
    copyFileSync(here('restored/log.sqlite'), here('of-one'));
    await add('restored', 2, 3);
    const [{ hash }] = (await objectOf('heads', '--data', 'restored')).object.heads;
    copyFileSync(here('of-one'), here('restored/log.sqlite'));
    const behind = 'entries 2 to 3 are gone from the end of tarn-lane, by the head that was kept of it';
    const line = expect.stringMatching(new RegExp(`^restored: ${behind}; look for .*; if .*log heads --accept$`));
    expect(await run('add', entryFile(4), '--data', 'restored')).toEqual({ status: 1, stdout: '', lines: [line] });
    expect(await objectOf('verify', '--data', 'restored')).toMatchObject({
      ...{ status: 1, lines: [line] },
      object: { ok: false, entries: 1, problems: [{ code: 'log-behind', message: behind }], accepted: [] },
    });
    expect(await objectOf('list', '--data', 'restored')).toMatchObject({
      ...{ status: 0, lines: [line] },
      object: { entries: [{ seq: 1 }], problems: [{ code: 'log-behind', message: behind }] },
    });
    const { stdout: english } = await run(...LISTED);
    expect((await run(...LISTED, '--lang', 'es')).stdout).toBe(english);
    expect(await run('export', '--out', 'restored.zip', '--data', 'restored')).toMatchObject({
      status: 1,
      lines: [line],
    });
    expect((await run('backup', '--out', 'restored-copy', '--data', 'restored')).status).toBe(1);

    const accepted = await run('heads', '--accept', '--data', 'restored');
    expect(accepted).toMatchObject({ status: 0, lines: [] });
    expect(accepted.stdout).toContain(`  - ${behind}\n`);
    await add('restored', 4);
    const found = await objectOf('verify', '--data', 'restored');
    expect(found).toMatchObject({ status: 0, lines: [], object: { ok: true, entries: 2, people: 1 } });
    expect(found.object.accepted).toEqual([
      { at: expect.stringMatching(/^\d{4}-/), lost: [{ chain: 'tarn-lane', seq: 3, hash }] },
    ]);
    const words = `it was accepted as it stood then, though it lacked entry 3 of tarn-lane (hash ${hash}).`;
    for (const verb of ['verify', 'list']) expect((await run(verb, '--data', 'restored')).stdout).toContain(words);
    expect((await run('list', '--people', '--data', 'restored')).stdout).toContain('accepted as it stood then');
    expect((await run('heads', '--accept', '--data', 'restored')).stdout).toContain('there was nothing to accept');
    expect((await objectOf('verify', '--data', 'restored')).object.accepted).toHaveLength(1);
  });
});

describe('oilshed log add --map', () => {
  const map = join(process.cwd(), 'site-maps', 'freight-depot.geojson');
  const name = sha256(readFileSync(map));
  const mapEntry = (n: number, body = {}) => entryFile(n, { kind: 'map', body });

  test('keeps the map and names it in the entry; an entry that names one that is not kept is refused', async () => {
    expect(await run('add', mapEntry(1, { sha256: name }), '--data', 'maps')).toMatchObject({
      status: 1,
      lines: [
        expect.stringContaining(`${idOf(1)}: body.sha256: the map ${name} is not in the log book; send the map first`),
      ],
    });
    expect((await run('add', mapEntry(1, { note: 'as built' }), '--map', map, '--data', 'maps')).status).toBe(0);
    expect((await objectOf('list', '--data', 'maps')).object.entries[0].body).toEqual({
      note: 'as built',
      sha256: name,
    });
    expect(readFileSync(here(`maps/maps/${name}`))).toEqual(readFileSync(map));
    expect((await run('add', mapEntry(2, { sha256: name }), '--data', 'maps')).status).toBe(0);
    expect((await objectOf('verify', '--data', 'maps')).object).toMatchObject({ ok: true, maps: 1 });
    rmSync(here(`maps/maps/${name}`));
    expect(await objectOf('verify', '--data', 'maps')).toMatchObject({
      status: 1,
      object: { ok: false, maps: 1, problems: [{ code: 'map-missing', id: idOf(1) }] },
    });
  });

  test('takes no map that cannot be computed, and goes with no other entry or map', async () => {
    writeFileSync(here('bad.geojson'), '{"type": "FeatureCollection", "features": 1}');
    expect((await run('add', mapEntry(1), '--map', 'bad.geojson', '--data', 'none')).status).toBe(1);
    expect(await run('add', entryFile(1), '--map', map, '--data', 'none')).toMatchObject({
      status: 2,
      lines: [expect.stringContaining('--map goes with an entry of the kind "map"')],
    });
    expect(await run('add', mapEntry(1, { sha256: 'a'.repeat(64) }), '--map', map, '--data', 'none')).toMatchObject({
      status: 1,
      lines: [expect.stringContaining('it names another map than --map has')],
    });
  });
});
