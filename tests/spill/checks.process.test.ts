import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, test } from 'vitest';
import { runVerb } from '../support/cli.ts';

const CASES = '../shared/checks/spill.json';

interface Case {
  id: string;
  command: string;
  expected: {
    arrivals?: Record<string, { litres: number; likely: { first: number; half: number; last: number } }>;
  };
  tolerance: { minutes: number; litres: number };
  map: unknown;
}

/** Cases worked out two ways, kept beside the project; where they are not there the tests are skipped and say so. */
const cases: Case[] = existsSync(CASES) ? JSON.parse(readFileSync(CASES, 'utf8')).cases : [];
const spills = cases.filter(({ command }) => command.startsWith('oilshed spill '));

const folder = mkdtempSync(join(tmpdir(), 'spill-checks-'));
afterAll(() => rmSync(folder, { recursive: true }));

if (cases.length === 0) test.skip(`the worked cases are not at ${CASES}`, () => {});
else
  describe('worked cases of a spill, by the command line', () => {
    test.each(spills)('$id', async ({ command, expected: { arrivals = {} }, tolerance, map }) => {
      const [, ...words] = command.split(' ');
      writeFileSync(join(folder, words[1]), JSON.stringify(map));
      const { status, stdout } = await runVerb(words, { cwd: folder });
      expect(status).toBe(0);
      const found: {
        arrivals: { id: string; litres: number; likely: { first: number; half: number; last: number } | null }[];
      } = JSON.parse(stdout);
      expect(Object.keys(arrivals).length).toBeGreaterThan(0);
      for (const [id, { litres, likely }] of Object.entries(arrivals)) {
        const come = found.arrivals.find((each) => each.id === id);
        expect(Math.abs((come?.litres ?? Number.NaN) - litres), id).toBeLessThanOrEqual(tolerance.litres);
        for (const when of ['first', 'half', 'last'] as const)
          expect(Math.abs((come?.likely?.[when] ?? Number.NaN) - likely[when]), `${id} ${when}`).toBeLessThanOrEqual(
            tolerance.minutes,
          );
      }
    });
  });
