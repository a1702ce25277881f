import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join, normalize } from 'node:path';
import { expect, test } from 'vitest';

/** A question goes through the room in this order; a file imports from its own stage and from those before it. */
const STAGES = ['findings', 'question', 'model', 'draws', 'answer'];
const ROOM = 'src/sources';

const stageOf = (file: string) => STAGES.indexOf(file.split('/')[2]);

function importsIn(file: string): string[] {
  const text = readFileSync(file, 'utf8');
  return [...text.matchAll(/from '(\.[^']+)'/g)]
    .map(([, path]) => normalize(join(dirname(file), path)))
    .filter((path) => path.startsWith(`${ROOM}/`));
}

const files = readdirSync(ROOM, { recursive: true, encoding: 'utf8' })
  .filter((name) => name.endsWith('.ts') && name !== 'index.ts')
  .map((name) => join(ROOM, name));

test('a question goes one way through the room: findings, question, model, draws, answer', () => {
  expect(new Set(files.map(stageOf))).toEqual(new Set(STAGES.keys()));
  const imports = files.flatMap((from) => importsIn(from).map((to) => ({ from, to })));
  expect(imports.length).toBeGreaterThan(50);
  expect(imports.filter(({ from, to }) => stageOf(to) > stageOf(from) || stageOf(to) < 0)).toEqual([]);
});

test('what is taken for another type than it is known to be stands in the reader of findings alone', () => {
  const casts = files.filter((file) => {
    const code = readFileSync(file, 'utf8').replace(/\/\*[\s\S]*?\*\/|\/\/.*|'[^'\n]*'|`[^`]*`/g, '');
    return /\bas (?!const\b)/.test(code.replace(/\bimport[^;]*;|\bexport (\*|\{)[^;]*;/g, ''));
  });
  expect(casts).toEqual([join(ROOM, 'findings/findings.ts')]);
});
