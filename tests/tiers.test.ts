import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { dirname, join, relative } from 'node:path';
import { describe, expect, test } from 'vitest';
import { createVitest } from 'vitest/node';

const testFiles = readdirSync('tests', { recursive: true, encoding: 'utf8' })
  .map((name) => join('tests', name))
  .filter((name) => /\.test\.tsx?$/.test(name));

/** The files of tests that a configuration runs, by the names of their projects. */
async function projectsOf(config: string): Promise<Map<string, string[]>> {
  const vitest = await createVitest('test', { config, watch: false, run: true });
  const found = new Map<string, string[]>();
  for (const { moduleId, project } of await vitest.globTestSpecifications()) {
    const file = relative(process.cwd(), moduleId);
    found.set(file, [...(found.get(file) ?? []), project.name]);
  }
  await vitest.close();
  return found;
}

/** What starts programs, opens databases or answers to a network. */
const OUTSIDE =
  /from '(?:node:(?:child_process|net|https?|http2|worker_threads)|playwright-core|pg|@photostructure\/sqlite|[./]+src\/(?:store|faces\/server|faces\/cli\/oilshed)[^']*)'/;

/** What of that a file of tests imports, itself or by what it imports from among the tests. */
function outsideOf(file: string, seen = new Set<string>()): string[] {
  if (seen.has(file) || !existsSync(file)) return [];
  seen.add(file);
  const text = readFileSync(file, 'utf8');
  const [own] = OUTSIDE.exec(text) ?? [];
  const near = [...text.matchAll(/from '(\.[^']+)'/g)]
    .map(([, path]) => join(dirname(file), path))
    .filter((path) => path.startsWith('tests'));
  return [...(own ? [`${file}: ${own}`] : []), ...near.flatMap((path) => outsideOf(path, seen))];
}

describe('the tiers of tests', () => {
  test('every file of tests is in one, which its name says, or is a long one', async () => {
    const [projects, long] = [await projectsOf('.config/vitest.ts'), await projectsOf('.config/long.ts')];
    const named = testFiles.map((file) => {
      const [, name = 'pure'] = /\.(statistics|process|browser|long)\.test\.tsx?$/.exec(file) ?? [];
      return [file, name === 'long' ? undefined : [name], name === 'long' ? [''] : undefined];
    });
    expect(testFiles.map((file) => [file, projects.get(file), long.get(file)])).toEqual(named);
    expect(new Set([...projects.values()].flat())).toEqual(new Set(['pure', 'statistics', 'process', 'browser']));
  }, 60_000);

  test('a pure or statistical one starts nothing and opens no database', () => {
    const inside = testFiles.filter((file) => /^[^.]+(\.statistics)?\.test\.tsx?$/.test(file));
    expect(inside.length).toBeGreaterThan(60);
    expect(inside.flatMap((file) => outsideOf(file))).toEqual([]);
    expect(outsideOf('tests/store/kills.process.test.ts')).not.toEqual([]);
  });
});
