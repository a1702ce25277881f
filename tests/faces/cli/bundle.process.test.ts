import { spawnSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, test } from 'vitest';
import { madeEntry } from '../../log-book/made.ts';
import { runVerb } from '../../support/cli.ts';
import { root } from '../../support/root.ts';

/*
 * What a verb answers is tried in the process of each test, from the source. Here the built program is started, as a user
 * starts it: each verb's part of it loads, answers the same and ends with the same status.
 */
const folder = mkdtempSync(join(tmpdir(), 'oilshed-bundle-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const cli = join(root, 'dist', 'cli', 'oilshed.js');
const map = join(root, 'site-maps', 'two-bay-garage.geojson');
const findings = join(root, 'site-maps', 'two-bay-garage.findings.json');
const entry = join(folder, 'entry.json');
writeFileSync(entry, JSON.stringify(madeEntry(1)));
const lids = join(folder, 'lids.geojson');
const lid = { type: 'Feature', properties: { what: 'lid' }, geometry: { type: 'Point', coordinates: [-105, 40] } };
writeFileSync(lids, JSON.stringify({ type: 'FeatureCollection', features: [lid] }));

function runBuilt(words: readonly string[], { cwd = folder, input = '' } = {}) {
  const { DATABASE_URL: _, OILSHED_DATA: __, ...env } = process.env;
  const options = { cwd, input, env: { ...env, OILSHED_PROGRESS: 'no', NO_COLOR: '1' }, encoding: 'utf8' } as const;
  const { status, stdout, stderr } = spawnSync(process.execPath, [cli, ...words], options);
  return { status, stdout, stderr };
}

const data = ['--data', 'yard'];
/** Words of every verb, in an order in which each finds what it needs; with what comes in by standard input. */
const VERBS: [words: string[], input?: string][] = [
  [['check', map, '--json']],
  [['check', '-'], readFileSync(map, 'utf8')],
  [['shed', map, '--at', 'SEP-1']],
  [['sources', map, '--findings', findings, '--json']],
  [['learn', map, '--findings', findings, '--json']],
  [['spill', map, '--zone', 'Z1', '--litres', '50gal', '--json']],
  [['block', map, '--zone', 'Z1', '--litres', '200', '--json']],
  [['block', map, '--findings', findings, '--json']],
  [['kits', map, '--count', '1', '--json']],
  [['measures', map, '--budget', '500', '--json']],
  [['upkeep', map, '--findings', findings, '--json']],
  [['cards', map, '--out', 'cards.html', '--json']],
  [['import', lids, '--kind', 'what=lid:manhole', '--out', 'made.geojson', '--json']],
  [['log', 'add', entry, '--json', ...data]],
  [['log', 'list', '--site', 'tarn-lane', ...data]],
  [['log', 'verify', '--json', ...data]],
  [['log', 'export', '--out', 'book.zip', ...data]],
  [['log', 'import', 'book.zip', '--json', '--data', 'copy']],
  [['log', 'backup', '--out', 'monday', ...data]],
  [['log', 'heads', ...data]],
  [['report', map, '--visit', '1', '--out', 'visit.html', '--json', ...data]],
  [['people', 'add', 'M. Lund', '--role', 'manager', ...data], 'seven lids deep\n'],
  [['people', 'role', 'M. Lund', '--role', 'crew', ...data]],
  [['people', 'password', 'M. Lund', ...data], 'four lids under rain\n'],
  [['people', 'token', 'list', ...data]],
  [['people', 'remove', 'Nobody', ...data]],
  [['--version']],
  [['sources', '--help']],
  [[]],
  [['chek']],
  [['check', 'no-such.geojson']],
  [['serve', '--port', '0']],
  [['completion', 'tcsh']],
];

describe('the built program', () => {
  const [here, there] = ['source', 'built'].map((name) => join(folder, name));
  for (const place of [here, there]) mkdirSync(place);
  /** Entries carry the time at which they were taken in, and a hash over it. */
  const timeless = (said: { stdout: string; stderr: string; status: number | null }) =>
    JSON.stringify(said)
      .replaceAll(/\b[0-9a-f]{64}\b/g, 'HASH')
      .replaceAll(/\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d+Z/g, 'TIME');

  test.each(VERBS)('answers %j as the source does', { timeout: 60_000 }, async (words, input) => {
    const { status, stdout, stderr } = await runVerb(words, { cwd: here, input });
    expect(timeless(runBuilt(words, { cwd: there, input }))).toBe(timeless({ status, stdout, stderr }));
  });

  test.skipIf(process.platform === 'win32')('ends well where the reader of a pipe goes away', () => {
    const command = `"${process.execPath}" "${cli}" check "${map}" --json | head -c 1; echo " \${PIPESTATUS[0]}"`;
    expect(spawnSync('bash', ['-c', command], { encoding: 'utf8' }).stdout).toBe('{ 0\n');
  });
});
