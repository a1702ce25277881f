import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, test } from 'vitest';
import { runVerb } from '../../support/cli.ts';
import { everyField } from '../../support/every-field.ts';

const folder = mkdtempSync(join(tmpdir(), 'oilshed-fields-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

test('every verb that takes a map answers for one that holds every kind and field', { timeout: 120_000 }, async () => {
  const file = (name: string, content: string) => {
    writeFileSync(join(folder, name), content);
    return join(folder, name);
  };
  const map = file('every.geojson', JSON.stringify(everyField()));
  const window = { since: '2026-03-01', seenAt: '2026-05-30' };
  const findings = file(
    'every.findings.json',
    JSON.stringify({
      format: 'oilshed-findings',
      version: 1,
      findings: [
        { id: 'F1', at: 'SEP-1', ...window, amount: { litres: 5 } },
        { id: 'F2', at: 'EDGE-1', ...window, seen: 'oil' },
        { id: 'F3', at: 'CB-1', ...window, seen: 'clean' },
      ],
    }),
  );
  const out = (name: string) => join(folder, name);
  for (const words of [
    ['check', map],
    ['shed', map, '--at', 'EDGE-1'],
    ['sources', map, '--findings', findings],
    ['sources', map, '--findings', findings, '--at', 'EDGE-1'],
    ['spill', map, '--zone', 'Z-1', '--litres', '200', '--rain', '20'],
    ['block', map, '--zone', 'Z-1', '--litres', '200'],
    ['block', map, '--findings', findings],
    ['kits', map, '--count', '1'],
    ['upkeep', map, '--findings', findings],
    ['learn', map, '--findings', findings],
    ['measures', map, '--budget', '2000'],
    ['cards', map, '--out', out('cards.html')],
  ]) {
    const { status, stdout, stderr } = await runVerb([...words, '--json']);
    expect([words[0], status, stderr]).toEqual([words[0], 0, '']);
    expect(Object.keys(JSON.parse(stdout)).length, words[0]).toBeGreaterThan(0);
  }
});
