import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { pathToFileURL } from 'node:url';
import ts from 'typescript';
import { afterAll, describe, expect, test } from 'vitest';

/** The rooms whose examples are run; `oilshed/ROOM` in an example is the room as it is in the source. */
const ROOMS = [
  'algorithms',
  'units',
  'site-map',
  'drainage',
  'sources',
  'spill',
  'block',
  'kits',
  'measures',
  'upkeep',
  'log-book',
];

/** Inside the project, since what an example imports is transformed only there. */
const folder = mkdtempSync(resolve('tests/.examples-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

interface Example {
  place: string;
  code: string;
}

/** The `@example`s that stand above the declarations of a file. */
function examplesIn(file: string): Example[] {
  const source = ts.createSourceFile(file, readFileSync(file, 'utf8'), ts.ScriptTarget.Latest, true);
  return source.statements.flatMap((statement) =>
    ts.getJSDocTags(statement).flatMap((tag) => {
      if (tag.tagName.text !== 'example') return [];
      const line = source.getLineAndCharacterOfPosition(tag.pos).line + 1;
      return [{ place: `${file}:${line}`, code: ts.getTextOfJSDocComment(tag.comment) ?? '' }];
    }),
  );
}

const EXPECTED = /^(.*?);?\s*\/\/ → (.+)$/;

/** An example with each line `value; // → expected` turned into a pair that is kept; a fault where there is none. */
function runnable(code: string): string {
  let pairs = 0;
  const lines = code.split('\n').map((line) => {
    const [, value, expected] = EXPECTED.exec(line) ?? [];
    if (value === undefined) return line;
    pairs++;
    return `pairs.push([(${value}), (${expected})]);`;
  });
  if (pairs === 0) throw new Error('it expects nothing: write the value behind // →');
  const imports = lines.filter((line) => /^\s*import\b/.test(line));
  const rest = lines.filter((line) => !/^\s*import\b/.test(line));
  const text = [...imports, 'export const pairs: [unknown, unknown][] = [];', ...rest].join('\n');
  return text.replace(/'oilshed\/([a-z-]+)'/g, (_, room) => `'${resolve(`src/${room}/index.ts`)}'`);
}

let count = 0;

/** Runs an example, and comes back with the pairs of what came out and what was expected. */
async function run({ code }: Example): Promise<[unknown, unknown][]> {
  const file = join(folder, `example-${++count}.ts`);
  writeFileSync(file, runnable(code));
  return (await import(pathToFileURL(file).href)).pairs;
}

/** Numbers are held to nine digits: an example shows no more. */
const inNine = (value: unknown): unknown =>
  JSON.parse(JSON.stringify(value, (_, each) => (typeof each === 'number' ? Number(each.toPrecision(9)) : each)));

function expectAsWritten([found, expected]: [unknown, unknown]): void {
  expect(inNine(found)).toEqual(inNine(expected));
}

const examples = ROOMS.flatMap((room) =>
  readdirSync(`src/${room}`, { recursive: true, encoding: 'utf8' })
    .filter((name) => name.endsWith('.ts'))
    .flatMap((name) => examplesIn(`src/${room}/${name}`)),
);

describe('the examples in comments', () => {
  test('were found', () => {
    expect(examples.length).toBeGreaterThan(5);
  });

  test.each(examples.map((each) => [each.place, each] as const))('%s does what it says', async (_place, example) => {
    for (const pair of await run(example)) expectAsWritten(pair);
  });

  test('one that is wrong, or expects nothing, is found out', async () => {
    const sum = "import { power } from 'oilshed/algorithms';\npower(2, 3); // → ";
    const asked = (code: string) => run({ place: 'here', code });
    expectAsWritten((await asked(`${sum}8`))[0]);
    const [wrong] = await asked(`${sum}9`);
    expect(() => expectAsWritten(wrong)).toThrow();
    await expect(asked("import { power } from 'oilshed/algorithms';\npower(2, 3); // 8")).rejects.toThrow(
      'expects nothing',
    );
  });
});
