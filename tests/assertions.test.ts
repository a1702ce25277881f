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
  'src/site-map/place.ts':
    'a kind and its properties come out of one feature, which TypeScript cannot follow through a union',
  'src/site-map/import/network.ts': 'a kind and its properties go into one feature, as in place.ts',
  'src/site-map/import/boundary.ts': 'the library that cuts polygons keeps the types of its rings to itself',
  'src/faces/cli/input.ts': 'errors of the file system carry a code',
  'src/faces/cli/oilshed.ts': 'errors of the file system carry a code',
  'src/faces/cli/world.ts': 'errors of the file system carry a code',
  'src/faces/cli/verbs/serve.ts': 'errors of the network carry a code',
  'src/faces/server/listen.ts': 'errors of the network carry a code',
  'src/store/aside.ts': 'errors of the file system carry a code',
  'src/store/fault.ts': 'errors of the file system carry a code',
  'src/store/postgres.ts': 'errors of the database carry a code',
  'src/store/sqlite.ts': 'rows and errors of the database have no types of their own',
  'src/faces/web/compute/planner-worker.ts': "a worker's own scope has no type beside that of a page",
  'src/faces/web/compute/worker.ts': "a worker's own scope has no type beside that of a page",
  'src/faces/web/state/stream/stream-worker.ts': "a worker's own scope has no type beside that of a page",
  'src/faces/web/map/leaflet-map.ts': "Leaflet's own types know no SVG elements",
};

/** Files that still assert types elsewhere, with how often they may at most. It only ever gets shorter. */
const STILL: Readonly<Record<string, number>> = {
  'src/faces/cli/paper.ts': 1,
  'src/faces/cli/verbs/log.ts': 1,
  'src/faces/cli/verbs/people.ts': 2,
  'src/faces/print/cards/cut-out.ts': 1,
  'src/faces/server/api.ts': 1,
  'src/faces/server/app.ts': 3,
  'src/faces/server/calendar-routes.ts': 2,
  'src/faces/server/event-route.ts': 1,
  'src/faces/server/health.ts': 1,
  'src/faces/server/map-routes.ts': 1,
  'src/faces/server/photo-routes.ts': 1,
  'src/faces/server/worker-pool.ts': 1,
  'src/faces/web/app/header.tsx': 1,
  'src/faces/web/app/sheet.tsx': 1,
  'src/faces/web/compute/ask.ts': 2,
  'src/faces/web/compute/serve.ts': 1,
  'src/faces/web/how-full/fill-chart.tsx': 1,
  'src/faces/web/how-full/how-full.tsx': 2,
  'src/faces/web/parts/fluid-select.tsx': 1,
  'src/faces/web/state/clock.ts': 1,
  'src/sources/findings/findings.ts': 5,
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
    const wrong = [...found]
      .filter(([name, lines]) => !(name in READERS) && lines.length > (STILL[name] ?? 0))
      .flatMap(([, lines]) => lines);
    expect(wrong).toEqual([]);
  });

  test('a file that asserts nothing stands in no list', () => {
    const listed = [...Object.keys(READERS), ...Object.keys(STILL)];
    expect(listed.filter((name) => (found.get(name) ?? []).length === 0)).toEqual([]);
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
