import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import ts from 'typescript';
import { describe, expect, test } from 'vitest';

/**
 * Where a type may be asserted, and why: where something is first read from outside and has just been checked, where a
 * library's own types say less than it does, and where numbers get their kind. Everywhere else what was read keeps its type.
 */
const READERS: Readonly<Record<string, string>> = {
  'src/algorithms/flow-order.ts': 'says of what kind the numbers of a flow order are',
  'src/site-map/read.ts': 'a value is a map once its schemas found nothing wrong with it',
  'src/site-map/add-feature.ts':
    'a kind and its properties come out of one feature, which TypeScript cannot follow through a union',
  'src/site-map/import/network.ts': 'a kind and its properties go into one feature, as in place.ts',
  'src/site-map/import/boundary.ts': 'the library that cuts polygons keeps the types of its rings to itself',
  'src/faces/cli/input.ts': 'errors of the file system carry a code',
  'src/faces/cli/oilshed.ts': 'errors of the file system carry a code',
  'src/faces/cli/world.ts': 'errors of the file system carry a code',
  'src/faces/cli/verbs/serve.ts': 'errors of the network carry a code',
  'src/faces/server/listen.ts': 'errors of the network carry a code',
  'src/sources/findings/findings.ts': 'a value is a finding once its schema found nothing wrong with it',
  'src/faces/server/app.ts': 'Fastify has other types for HTTP/2',
  'src/faces/server/raw-reply.ts': "a route's own type of answer knows nothing of what is sent as it is",
  'src/faces/server/worker-pool.ts': 'what a thread sends back is the answer to the job it was given',
  'src/store/aside.ts': 'errors of the file system carry a code',
  'src/store/fault.ts': 'errors of the file system carry a code',
  'src/store/postgres.ts': 'errors of the database carry a code',
  'src/store/sqlite.ts': 'rows and errors of the database have no types of their own',
  'src/faces/web/compute/ask.ts': "a worker's reply is the answer to the question of its number",
  'src/faces/web/compute/serve.ts':
    'a task and its reply go into one message, which TypeScript cannot follow through a union',
  'src/faces/web/state/clock.ts': 'what this page kept itself, by the version it was kept in',
  'src/faces/web/compute/planner-worker.ts': "a worker's own scope has no type beside that of a page",
  'src/faces/web/compute/worker.ts': "a worker's own scope has no type beside that of a page",
  'src/faces/web/state/stream/stream-worker.ts': "a worker's own scope has no type beside that of a page",
  'src/faces/web/map/leaflet-map.ts': "Leaflet's own types know no SVG elements",
};

const file = (name: string, text: string) => ts.createSourceFile(name, text, ts.ScriptTarget.Latest, true);

/** Every type assertion of a file, `as const` aside, and every `!` that says a value is there. */
function assertionsIn(name: string, text: string): string[] {
  const source = file(name, text);
  const found: string[] = [];
  const look = (node: ts.Node): void => {
    const isAs = ts.isAsExpression(node) && node.type.getText(source) !== 'const';
    if (isAs || ts.isTypeAssertionExpression(node) || ts.isNonNullExpression(node)) {
      const { line } = source.getLineAndCharacterOfPosition(node.getStart(source));
      found.push(`${name}:${line + 1}: ${node.getText(source).replace(/\s+/g, ' ').slice(0, 100)}`);
    }
    ts.forEachChild(node, look);
  };
  look(source);
  return found;
}

describe('types are kept', () => {
  const files = readdirSync('src', { recursive: true, encoding: 'utf8' })
    .map((name) => join('src', name))
    .filter((name) => /\.tsx?$/.test(name));
  const found = new Map(files.map((name) => [name, assertionsIn(name, readFileSync(name, 'utf8'))]));

  test('no type is asserted outside the readers', () => {
    expect([...found].filter(([name]) => !(name in READERS)).flatMap(([, lines]) => lines)).toEqual([]);
  });

  test('a file that asserts nothing stands in no list', () => {
    expect(Object.keys(READERS).filter((name) => (found.get(name) ?? []).length === 0)).toEqual([]);
  });

  test('the count sees what it is for', () => {
    expect(files.length).toBeGreaterThan(300);
    const lines = (text: string) => assertionsIn('a.ts', text).length;
    expect(lines('const a = b as Record<string, unknown>;')).toBe(1);
    expect(lines('const a = b as unknown as string;')).toBe(2);
    expect(lines('const a = <string>b;')).toBe(1);
    expect(lines('const a = b!.c;')).toBe(1);
    expect(lines('const a = [1] as const; const b = { as: 1 }; if (!c) d(); const e = f satisfies G;')).toBe(0);
    expect(lines('type A = typeof b; import { a as c } from "d"; export { c as e };')).toBe(0);
  });
});
