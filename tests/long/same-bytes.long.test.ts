import { spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { delimiter, join } from 'node:path';
import { afterAll, describe, expect, test } from 'vitest';

/** Programs of several versions of Node, in one variable as folders stand in PATH. */
const nodes = (process.env.OILSHED_NODES ?? '').split(delimiter).filter((path) => path !== '');
if (nodes.length < 2)
  console.warn('skipped: the same bytes on every Node; name at least two in OILSHED_NODES, as folders stand in PATH');

const folder = mkdtempSync(join(tmpdir(), 'oilshed-bytes-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const yards = readdirSync('site-maps')
  .filter((name) => name.endsWith('.geojson'))
  .map((name) => name.replace('.geojson', ''));

/** Every question that a map and its findings can be asked. */
function questionsOf(yard: string): string[][] {
  const [map, findings] = [`site-maps/${yard}.geojson`, `site-maps/${yard}.findings.json`];
  const { features }: { features: { id: string; properties: { kind: string } }[] } = JSON.parse(
    readFileSync(map, 'utf8'),
  );
  const idsOf = (...kinds: string[]) =>
    features.filter((each) => kinds.includes(each.properties.kind)).map(({ id }) => id);
  return [
    ['check', map],
    ...idsOf('separator', 'outfall').map((id) => ['shed', map, '--at', id]),
    ['sources', map, '--findings', findings],
    ['sources', map, '--findings', findings, '--release-litres', '500', '--seed', '7'],
    ['learn', map, '--findings', findings],
    ['upkeep', map, '--findings', findings, '--rain', '10'],
    ...idsOf('zone').flatMap((id) => [
      ['spill', map, '--zone', id, '--litres', '200', '--rain', '10'],
      ['block', map, '--zone', id, '--litres', '200'],
    ]),
    ['block', map, '--findings', findings],
    ['kits', map, '--count', '2'],
    ['measures', map, '--budget', '5000'],
    ['cards', map, '--out', join(folder, 'cards.html')],
  ];
}

function answer(node: string, words: readonly string[]): string {
  const { status, stdout, stderr } = spawnSync(node, ['dist/cli/oilshed.js', ...words, '--json'], { encoding: 'utf8' });
  expect([status, stderr], `${node}: ${words.join(' ')}`).toEqual([0, '']);
  return stdout;
}

describe.skipIf(nodes.length < 2)('--json has the same bytes on every Node', () => {
  test.each(yards)('%s, every verb', { timeout: 600_000 }, (yard) => {
    const [first, ...others] = nodes;
    for (const words of questionsOf(yard)) {
      const expected = answer(first, words);
      for (const node of others) expect(answer(node, words), `${node}: ${words.join(' ')}`).toBe(expected);
    }
  });

  const richmond = '../shared/data/vermont-richmond';
  test.skipIf(!existsSync(richmond))('a map that import writes, which is never rounded', { timeout: 600_000 }, () => {
    const layers = [`${richmond}/point-features.geojson`, `${richmond}/linear-features.geojson`];
    const rules = [
      '--keep',
      'SystemType=Stormwater',
      '--kind',
      'Type=2:catch-basin,8:manhole,9:outfall,2:pipe,4:swale',
    ];
    const maps = nodes.map((node) => {
      const out = join(folder, 'town.geojson');
      answer(node, ['import', ...layers, ...rules, '--zones', '--out', out]);
      return readFileSync(out, 'utf8');
    });
    for (const map of maps) expect(map === maps[0]).toBe(true);
  });
});
