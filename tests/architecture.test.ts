import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { describe, expect, test } from 'vitest';

const page = readFileSync('docs/architecture.md', 'utf8');

/** The rows of the table that stands under a heading of columns: the first column, and the last as a list. */
function tableUnder(column: string): [string, string[]][] {
  const [, rows = ''] = page.split(`| ${column} |`);
  return rows
    .split('\n\n')[0]
    .split('\n')
    .slice(2)
    .map((row) => row.split('|').map((cell) => cell.trim()))
    .map((cells): [string, string[]] => [
      (cells[1] ?? '').replaceAll('`', ''),
      [...(cells[3] ?? '').matchAll(/`([a-z-]+)`/g)].map(([, name]) => name).sort(),
    ]);
}

const foldersOf = (folder: string) =>
  readdirSync(folder, { withFileTypes: true })
    .filter((each) => each.isDirectory() && each.name !== 'public')
    .map(({ name }) => name)
    .sort();

/** Which other folders of `folder` the files of one of them import. */
function importsOf(folder: string, name: string): string[] {
  const files = readdirSync(join(folder, name), { recursive: true, encoding: 'utf8' }).filter((file) =>
    /\.tsx?$/.test(file),
  );
  const found = files.flatMap((file) => {
    const path = join(folder, name, file);
    return [...readFileSync(path, 'utf8').matchAll(/(?:from|import\(|import) ?'(\.[^']+)'/g)].map(([, to]) =>
      join(dirname(path), to),
    );
  });
  const rooms = found
    .filter((path) => path.startsWith(`${folder}/`))
    .map((path) => path.slice(folder.length + 1).split('/')[0]);
  return [...new Set(rooms)].filter((room) => room !== name && foldersOf(folder).includes(room)).sort();
}

describe('the page about how it is built', () => {
  test.each([
    ['room', 'src'],
    ['face', 'src/faces'],
    ['room of the web app', 'src/faces/web'],
  ])('the table of each %s has every folder and every import there is, and no other', (column, folder) => {
    const wanted = foldersOf(folder).map((name) => [name, importsOf(folder, name)]);
    expect(tableUnder(column).sort(([a], [b]) => (a < b ? -1 : 1))).toEqual(wanted);
  });

  test('every path that it names exists', () => {
    const paths = [...page.matchAll(/`((?:src|tests)\/[^`]*)`/g)].map(([, path]) => path);
    expect(paths.length).toBeGreaterThan(15);
    expect(paths.filter((path) => !existsSync(path))).toEqual([]);
  });

  test('every function of the walk stands in the file that is named before it', () => {
    const steps = page.split('## The way of one finding')[1].split('`src/').slice(1);
    const wrong = steps.flatMap((step) => {
      const [path, rest] = [`src/${step.slice(0, step.indexOf('`'))}`, step.slice(step.indexOf('`') + 1)];
      const text = readFileSync(path, 'utf8');
      const names = [...rest.matchAll(/`(\w+)(?:\(\))?`/g)].map(([, name]) => name);
      return names.length === 0
        ? [`${path}: no function is named`]
        : names.filter((name) => !new RegExp(`\\b${name}\\b`).test(text)).map((name) => `${path}: ${name}`);
    });
    expect(wrong).toEqual([]);
  });
});
