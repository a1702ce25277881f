import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { cruise, type ICruiseResult } from 'dependency-cruiser';
import { beforeAll, describe, expect, test } from 'vitest';
import { PROBLEM_CODES } from '../src/site-map/index.ts';

/** The rooms in the order in which the data flows: a room imports only from rooms above it. */
const ROOMS = [
  'algorithms',
  'units',
  'catalogue',
  'site-map',
  'drainage',
  'sources',
  'spill',
  'block',
  'kits',
  'measures',
  'upkeep',
  'log-book',
  'words',
  'drawing',
  'store',
  'faces',
];
/** These two import nothing of the project. */
const ROOTS = ['algorithms', 'units'];
const PURE = ROOMS.filter((room) => room !== 'faces' && room !== 'store');

/** The faces that others may use, by their index alone; a face imports only from those before it. The web app stands alone. */
const FACES = ['print', 'server', 'cli'];
/** The rooms of the web app, lowest first: one imports only from those before it. */
const WEB = ['compute', 'state', 'parts', 'map', 'where-from', 'spill', 'kits', 'how-full', 'log', 'app'];
/** None of these imports another. */
const SCREENS = ['where-from', 'spill', 'kits', 'how-full', 'log'];

interface Import {
  from: string;
  to: string;
}

/** What is large and is loaded only when it is asked for is imported by its own file; an index would bring it at once. */
const LOADED_LATER = ['src/drainage/graph.ts'];

const roomOf = (file: string) => /^src\/([^/]+)/.exec(file)?.[1] ?? '';
const faceOf = (file: string) => /^src\/faces\/([^/]+)/.exec(file)?.[1] ?? '';
/** The file that starts the app belongs to `app`. */
const webRoomOf = (file: string) => /^src\/faces\/web\/([^/]+)\//.exec(file)?.[1] ?? 'app';

/** What is wrong with one import: null when it follows the arrows. */
function wrongImport({ from, to }: Import): string | null {
  const [room, other] = [roomOf(from), roomOf(to)];
  if (room === 'faces' && other === 'faces') return wrongBetweenFaces({ from, to });
  if (room === other) return null;
  if (!ROOMS.includes(other)) return `${from} imports ${to}, which is in no room; move it into one`;
  if (ROOTS.includes(room)) return `${from} imports ${to}, but ${room} imports nothing of the project`;
  if (ROOMS.indexOf(other) > ROOMS.indexOf(room))
    return `${from} imports ${to}, a room below its own; hand the value in instead`;
  return to === `src/${other}/index.ts` || to.endsWith('.css') || LOADED_LATER.includes(to)
    ? null
    : `${from} imports ${to}; import src/${other}/index.ts, the room's public face`;
}

function wrongBetweenFaces({ from, to }: Import): string | null {
  const [face, other] = [faceOf(from), faceOf(to)];
  if (face === 'web' && other === 'web') return wrongInWeb({ from, to });
  if (face === other) return null;
  if (!FACES.includes(other)) return `${from} imports ${to}; nothing outside src/faces/${other} does`;
  if (FACES.indexOf(other) > FACES.indexOf(face)) return `${from} imports ${to}, a face that stands after its own`;
  return to === `src/faces/${other}/index.ts`
    ? null
    : `${from} imports ${to}; import src/faces/${other}/index.ts, the face's public part`;
}

function wrongInWeb({ from, to }: Import): string | null {
  const [room, other] = [webRoomOf(from), webRoomOf(to)];
  if (room === other) return null;
  if (!WEB.includes(other)) return `${from} imports ${to}, which is in no room of the web app; move it into one`;
  if (SCREENS.includes(room) && SCREENS.includes(other))
    return `${from} imports ${to}, another screen; move what both need into parts, map or state`;
  return WEB.indexOf(other) > WEB.indexOf(room) ? `${from} imports ${to}, a room above its own` : null;
}

const FORBIDDEN: [RegExp, string][] = [
  [/\bMath\.random\b/, 'chance: take a Random'],
  [/\bDate\.now\b|\bnew Date\(\)|\bperformance\.now\b/, 'a clock: take the time'],
  [
    /\bconsole\.|\bprocess\.|\bfetch\(|\blocalStorage\b|\bdocument\.|\bwindow\./,
    'the world: give the value back to a face',
  ],
  [/(?<!\b2) \*\* (?!2\b)|Math\.pow/, 'a power whose last digit hangs on the engine: use power() of algorithms'],
  [/from 'node:/, 'a part of Node: leave it to a face'],
];

/** What a line of a pure room may not hold; comments may. */
const impure = (line: string) =>
  /^\s*(\*|\/[/*])/.test(line) ? null : (FORBIDDEN.find(([pattern]) => pattern.test(line))?.[1] ?? null);

function filesUnder(folder: string): string[] {
  return readdirSync(folder, { recursive: true, encoding: 'utf8' })
    .map((name) => join(folder, name))
    .filter((name) => /\.tsx?$/.test(name));
}

describe('the layout', () => {
  let imports: Import[] = [];
  let modules = 0;
  beforeAll(async () => {
    const { output } = await cruise(['src'], {
      tsPreCompilationDeps: true,
      doNotFollow: { path: 'node_modules' },
      baseDir: process.cwd(),
    });
    const cruised = (output as ICruiseResult).modules.filter(({ source }) => source.startsWith('src/'));
    modules = cruised.length;
    imports = cruised.flatMap(({ source, dependencies }) =>
      dependencies
        .filter(({ resolved }) => resolved.startsWith('src/'))
        .map(({ resolved }) => ({ from: source, to: resolved })),
    );
  });

  test('every source file was looked at, and imports were seen', () => {
    expect(modules).toBeGreaterThanOrEqual(filesUnder('src').filter((name) => !name.endsWith('.d.ts')).length);
    expect(imports.length).toBeGreaterThan(100);
  });

  test('a room imports only from rooms above it, and only their public faces', () => {
    expect(imports.map(wrongImport).filter((wrong) => wrong !== null)).toEqual([]);
  });

  test('no file is imported in a circle', { timeout: 120_000 }, async () => {
    const { output } = await cruise(['src'], {
      tsPreCompilationDeps: false,
      doNotFollow: { path: 'node_modules' },
      validate: true,
      ruleSet: { forbidden: [{ name: 'circle', severity: 'error', from: {}, to: { circular: true } }] },
    });
    expect((output as ICruiseResult).summary.violations.map(({ from, to }) => `${from} → ${to}`)).toEqual([]);
  });

  test('the pure rooms touch no clock, no chance and no world', () => {
    // The compiled sentences are no code: one of them may well end in "window.".
    const isCode = (file: string) => !file.includes('compiled');
    const files = PURE.flatMap((room) => filesUnder(`src/${room}`)).filter(isCode);
    const found = files.flatMap((file) =>
      readFileSync(file, 'utf8')
        .split('\n')
        .flatMap((line, at) => {
          const cure = impure(line);
          return cure ? [`${file}:${at + 1}: ${cure}`] : [];
        }),
    );
    expect(found).toEqual([]);
  });

  test('the rules themselves catch what they are for', () => {
    expect(wrongImport({ from: 'src/site-map/a.ts', to: 'src/drainage/index.ts' })).toContain('below its own');
    expect(wrongImport({ from: 'src/units/index.ts', to: 'src/algorithms/index.ts' })).toContain('imports nothing');
    expect(wrongImport({ from: 'src/block/a.ts', to: 'src/drainage/compile.ts' })).toContain('public face');
    expect(wrongImport({ from: 'src/block/a.ts', to: 'src/drainage/index.ts' })).toBeNull();
    for (const [from, to, wrong] of [
      ['src/drawing/a.ts', 'src/faces/web/state/a.ts', 'below its own'],
      ['src/faces/print/a.ts', 'src/faces/web/map/a.ts', 'nothing outside src/faces/web'],
      ['src/faces/web/state/a.ts', 'src/faces/server/index.ts', 'after its own'],
      ['src/faces/print/a.ts', 'src/faces/cli/index.ts', 'after its own'],
      ['src/faces/cli/a.ts', 'src/faces/print/cards/a.ts', 'public part'],
      ['src/faces/web/spill/a.ts', 'src/faces/web/kits/a.ts', 'another screen'],
      ['src/faces/web/state/a.ts', 'src/faces/web/parts/a.ts', 'above its own'],
      ['src/faces/web/spill/a.ts', 'src/faces/web/panel/a.ts', 'in no room'],
      ['src/faces/cli/a.ts', 'src/faces/print/index.ts', null],
      ['src/faces/web/spill/a.ts', 'src/faces/web/parts/a.ts', null],
      ['src/faces/web/main.tsx', 'src/faces/web/spill/a.ts', null],
    ] as const)
      if (wrong === null) expect(wrongImport({ from, to })).toBeNull();
      else expect(wrongImport({ from, to })).toContain(wrong);
    for (const line of [
      'const a = Math.random();',
      'x ** 3',
      'x ** 20',
      'x ** (2 / 3)',
      'new Date()',
      "import fs from 'node:fs';",
      'console.log(1)',
    ])
      expect(impure(line)).not.toBeNull();
    for (const line of ['new Date(local)', 'x ** 2', '2 ** 52']) expect(impure(line)).toBeNull();
  });

  test('the top level holds the agreed names and nothing else', () => {
    const agreed = [
      'README.md',
      'DEVELOPERS.md',
      'package.json',
      'package-lock.json',
      'tsconfig.json',
      'LICENSE',
      'src',
      'site-maps',
      'tests',
      'docs',
      'dist',
      'node_modules',
      'oilshed-data',
    ];
    expect(readdirSync('.').filter((name) => !name.startsWith('.') && !agreed.includes(name))).toEqual([]);
  });

  test('every problem code stands in docs/errors.md with its severity, and the page has no other', () => {
    const page = readFileSync('docs/errors.md', 'utf8');
    const documented = [...page.matchAll(/^\| `([a-z-]+)` \| (error|warning|note) \|/gm)].map(([, code, severity]) => [
      code,
      severity,
    ]);
    expect(documented.sort()).toEqual(Object.entries(PROBLEM_CODES).sort());
  });

  test('every problem code is used somewhere', () => {
    const text = filesUnder('src')
      .filter((name) => !name.endsWith('problem.ts'))
      .map((name) => readFileSync(name, 'utf8'))
      .join('\n');
    expect(Object.keys(PROBLEM_CODES).filter((code) => !text.includes(`'${code}'`))).toEqual([]);
  });
});
