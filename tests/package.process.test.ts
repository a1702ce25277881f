import { spawnSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, test } from 'vitest';
import { root } from './support/root.ts';

const own = JSON.parse(readFileSync(join(root, 'package.json'), 'utf8'));
/** What the faces alone use is not for other programs. */
const OWN = ['words', 'drawing', 'store', 'faces'];
const ROOMS = readdirSync(join(root, 'src')).filter((name) => !OWN.includes(name));
const folder = mkdtempSync(join(tmpdir(), 'oilshed-package-'));

afterAll(() => rmSync(folder, { recursive: true, force: true }));

function run(program: string, words: string[], cwd: string) {
  const { status, stdout, stderr } = spawnSync(program, words, { cwd, encoding: 'utf8' });
  return { status, stdout, stderr };
}

/** What `npm pack` puts in, and the package as it lies unpacked in a project, beside the packages it needs. */
function packed() {
  const npm = run('npm', ['pack', '--json', '--ignore-scripts', '--pack-destination', folder], root);
  expect(npm.stderr).not.toMatch(/npm error/);
  const [{ filename, files }]: [{ filename: string; files: { path: string }[] }] = JSON.parse(npm.stdout);
  const modules = join(folder, 'project', 'node_modules');
  mkdirSync(modules, { recursive: true });
  for (const name of readdirSync(join(root, 'node_modules')))
    if (!name.startsWith('.')) symlinkSync(join(root, 'node_modules', name), join(modules, name));
  expect(run('tar', ['-xzf', join(folder, filename), '-C', modules], folder).stderr).toBe('');
  // Moved with its own name, since npm calls the folder inside "package".
  expect(run('mv', ['package', 'oilshed'], modules).status).toBe(0);
  return { project: join(folder, 'project'), paths: files.map(({ path }) => path) };
}

describe('the package', () => {
  const { project, paths } = packed();

  test('names every room, and no other part of the source, as what others may import', () => {
    const named = Object.keys(own.exports).filter((name) => !name.endsWith('.json'));
    expect(named.sort()).toEqual(ROOMS.map((room) => `./${room}`).sort());
  });

  test('holds what it names, the pages, the schemas and the demo yards, and neither source, tests nor stamps', () => {
    const named = Object.values<string | Record<string, string>>(own.exports).flatMap((target) =>
      typeof target === 'string' ? [target] : Object.values(target),
    );
    const wanted = [
      ...named,
      './dist/cli/oilshed.js',
      './dist/web/index.html',
      './docs/method.md',
      './docs/SECURITY.md',
    ];
    const others = [
      './docs/CHANGELOG.md',
      './docs/deploy/oilshed.service',
      './site-maps/freight-depot.geojson',
      './LICENSE',
    ];
    expect([...wanted, ...others].filter((path) => !paths.includes(path.slice(2)))).toEqual([]);
    expect(
      paths.filter((path) => !/^(dist\/(cli|lib|web)|docs|site-maps)\/|^[A-Z]+(\.md)?$|^package\.json$/.test(path)),
    ).toEqual([]);
    expect(paths.filter((path) => path.split('/').some((part) => part.startsWith('.')))).toEqual([]);
  });

  test('runs nothing when it is installed', () => {
    expect(own).not.toHaveProperty('private');
    for (const event of ['preinstall', 'install', 'postinstall']) expect(own.scripts).not.toHaveProperty(event);
  });

  test('has a page for every room', { timeout: 120_000 }, () => {
    const words = [
      'node_modules/typedoc/bin/typedoc',
      '--options',
      '.config/typedoc.json',
      '--out',
      join(folder, 'pages'),
    ];
    const { status, stdout } = run(process.execPath, words, root);
    expect({ status, warnings: stdout.match(/.*\[warning\].*/g) }).toEqual({ status: 0, warnings: null });
    const pages = readdirSync(join(folder, 'pages', 'modules')).map((name) => name.replace('.html', ''));
    expect(pages.sort()).toEqual([...ROOMS].sort());
  });

  test('gives each room to a JavaScript program, without a bundler', () => {
    const imports = ROOMS.map((room, at) => `import * as room${at} from 'oilshed/${room}';`);
    const sizes = ROOMS.map((_, at) => `Object.keys(room${at}).length`);
    const program = `${imports.join('\n')}\nconsole.log(JSON.stringify([${sizes}]));\n`;
    writeFileSync(join(project, 'rooms.mjs'), program);
    const { status, stdout, stderr } = run(process.execPath, ['rooms.mjs'], project);
    expect({ status, stderr }).toEqual({ status: 0, stderr: '' });
    expect(JSON.parse(stdout).every((size: number) => size > 0)).toBe(true);
  });

  test('answers a question put by a program that only has the package', () => {
    writeFileSync(join(project, 'ask.mjs'), ASK);
    const { status, stdout, stderr } = run(process.execPath, ['ask.mjs'], project);
    expect({ status, stderr }).toEqual({ status: 0, stderr: '' });
    const verb = run(
      process.execPath,
      [join(root, 'dist/cli/oilshed.js'), 'shed', DEPOT, '--at', 'SEP-1', '--json'],
      root,
    );
    const zones = JSON.parse(verb.stdout).zones.map(({ id }: { id: string }) => id);
    expect(zones.length).toBeGreaterThan(3);
    expect(JSON.parse(stdout)).toEqual(zones);
  });

  test.each(['nodenext', 'bundler'])(
    'is typed: with %s resolution right use compiles and wrong use does not',
    { timeout: 120_000 },
    (resolution) => {
      const compilerOptions = {
        strict: true,
        noEmit: true,
        target: 'es2022',
        lib: ['es2023', 'dom'],
        types: [],
        skipLibCheck: false,
        module: resolution === 'bundler' ? 'esnext' : 'nodenext',
        moduleResolution: resolution,
      };
      writeFileSync(join(project, 'tsconfig.json'), JSON.stringify({ compilerOptions, files: ['typed.ts'] }));
      writeFileSync(join(project, 'package.json'), JSON.stringify({ type: 'module' }));
      writeFileSync(join(project, 'typed.ts'), TYPED);
      const { stdout } = run(process.execPath, [join(root, 'node_modules/typescript/bin/tsc'), '-p', '.'], project);
      expect(stdout).toBe('');
    },
  );
});

const DEPOT = 'site-maps/freight-depot.geojson';

const ASK = `
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';
import { compileDrainage, oilshed } from 'oilshed/drainage';
import { readSiteMap } from 'oilshed/site-map';
const folder = dirname(createRequire(import.meta.url).resolve('oilshed/package.json'));
const { map, problems } = readSiteMap(readFileSync(join(folder, '${DEPOT}'), 'utf8'));
if (problems.some(({ severity }) => severity === 'error')) throw new Error('the map has errors');
console.log(JSON.stringify(oilshed(compileDrainage(map), 'SEP-1').map(({ zone }) => zone.id)));
`;

const TYPED = `
${ROOMS.map((room, at) => `import * as room${at} from 'oilshed/${room}';`).join('\n')}
export const rooms = [${ROOMS.map((_, at) => `room${at}`)}];
import { compileDrainage, type Drainage, oilshed as shed, toGraph } from 'oilshed/drainage';
import { readSiteMap } from 'oilshed/site-map';
import { formatVolume } from 'oilshed/units';
const drainage: Drainage = compileDrainage(readSiteMap('{}').map);
export const words: string[] = shed(drainage, 'SEP-1').map(({ zone }) => formatVolume(1, 'us') + zone.id);
// @ts-expect-error An id is a string, and the compiler knows.
shed(drainage, 12);
const graph = toGraph(drainage);
export const lengths: number[] = graph.mapEdges((id, edge) => (edge.kind === 'ground' ? 0 : edge.lengthM));
// @ts-expect-error Ground has no length: the compiler knows what a node and an edge of the yard's graph have.
graph.mapEdges((id, edge) => edge.lengthM);
`;
