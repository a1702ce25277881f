import { spawnSync } from 'node:child_process';
import { cpSync, existsSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { afterAll, beforeEach, describe, expect, test } from 'vitest';
import { root } from './support/root.ts';

const top = mkdtempSync(join(tmpdir(), 'oilshed-install-'));
afterAll(() => rmSync(top, { recursive: true, force: true }));

/** Made packages: two with the names of those whose binary parts are tried, one for development, two of a platform. */
const PACKAGES = {
  'node_modules/@photostructure/sqlite': {},
  'node_modules/@node-rs/argon2': {},
  'node_modules/builder': { dev: true },
  'node_modules/binary-here': { optional: true, os: [process.platform], cpu: [process.arch] },
  'node_modules/binary-elsewhere': { optional: true, os: ['none-such'] },
  'node_modules/binary-elsewhere/node_modules/part': { optional: true },
};
const lockOf = (version: string) => ({
  packages: Object.fromEntries(
    Object.entries(PACKAGES).map(([path, more]) => [path, { version, integrity: `sha512-${version}`, ...more }]),
  ),
});

const write = (file: string, content: string | object) => {
  mkdirSync(dirname(file), { recursive: true });
  writeFileSync(file, typeof content === 'string' ? content : JSON.stringify(content));
};

let made = 0;
let checkout: string;
beforeEach(() => {
  checkout = join(top, `a checkout ${++made}`);
  for (const name of ['install.mjs', 'built.mjs', 'sound.mjs'])
    cpSync(join(root, '.scripts', name), join(checkout, '.scripts', name));
  write(join(checkout, '.scripts', 'build.mjs'), BUILD);
  write(join(checkout, 'package.json'), { name: 'made', engines: { node: '>=20.19' }, scripts: { prepare: 'exit 1' } });
  write(join(checkout, 'package-lock.json'), lockOf('1.0.0'));
});

/** Says that it builds, and marks it done as the real one does. */
const BUILD = `import { markBuilt } from './built.mjs';\nmarkBuilt();\nconsole.error('built');\n`;

/**
 * Stands in for npm: installs what the lock file beside it asks for, for this platform. Without a network it fails, or, as
 * some do, ends as if all were well with half of it.
 */
const NPM = `
const fs = require('node:fs');
fs.appendFileSync(process.env.SAID, process.argv.slice(2).join(' ') + '\\n');
if (process.env.OFFLINE) { fs.mkdirSync('node_modules'); process.exit(1); }
const { packages } = JSON.parse(fs.readFileSync('package-lock.json', 'utf8'));
const wanted = Object.entries(packages).filter(([path]) => !path.includes('elsewhere'));
const here = process.env.HALF ? wanted.slice(1) : wanted;
for (const [path, { version }] of here) {
  fs.mkdirSync(path, { recursive: true });
  fs.writeFileSync(path + '/package.json', JSON.stringify({ version, main: 'index.js' }));
  fs.writeFileSync(path + '/index.js', '');
}
fs.writeFileSync('node_modules/.package-lock.json', JSON.stringify({ packages: Object.fromEntries(here) }));
`;

function install(words: string[] = [], env: NodeJS.ProcessEnv = {}) {
  const npm = join(top, 'npm-cli.js');
  const said = join(top, `npm said ${made}`);
  writeFileSync(npm, NPM);
  rmSync(said, { force: true });
  const all = { ...process.env, npm_execpath: npm, SAID: said, npm_config_cache: join(top, 'cache'), ...env };
  const script = join(checkout, '.scripts', 'install.mjs');
  const { status, stdout, stderr } = spawnSync(process.execPath, [script, ...words], { encoding: 'utf8', env: all });
  return { status, stdout, stderr, npm: existsSync(said) ? readFileSync(said, 'utf8').trim() : null };
}

const versionOf = (name: string) =>
  JSON.parse(readFileSync(join(checkout, 'node_modules', name, 'package.json'), 'utf8')).version;
const leftovers = () => readdirSync(checkout).filter((name) => name.startsWith('.install-'));

describe('.scripts/install.mjs', () => {
  test('installs and builds in a bare checkout whose path has blanks, and the second time does neither', () => {
    const first = install();
    expect(first).toMatchObject({ status: 0, stdout: '' });
    expect(first.npm).toMatch(/^ci --include=dev /);
    expect(first.stderr).toMatch(/Installing .*\n.*Building .*\nbuilt\n/s);
    expect(versionOf('builder')).toBe('1.0.0');
    expect(leftovers()).toEqual([]);
    expect(install()).toEqual({ status: 0, stdout: '', stderr: '', npm: null });
  });

  test('recognises what somebody else installed, such as npm ci', () => {
    install();
    // No stamp of its own may count: npm's list is all there is.
    expect(readdirSync(join(checkout, 'node_modules')).filter((name) => name.startsWith('.'))).toEqual([
      '.package-lock.json',
    ]);
    rmSync(join(checkout, 'dist'), { recursive: true });
    expect(install()).toMatchObject({ status: 0, npm: null, stderr: 'Building ...\nbuilt\n' });
  });

  test.each<[string, () => void]>([
    ['a package is missing', () => rmSync(join(checkout, 'node_modules', 'builder'), { recursive: true })],
    [
      'the binary of this platform is missing',
      () => rmSync(join(checkout, 'node_modules', 'binary-here'), { recursive: true }),
    ],
    [
      'a binary part does not load',
      () => write(join(checkout, 'node_modules', '@node-rs', 'argon2', 'index.js'), 'throw new Error("not here")'),
    ],
    ['the lock file asks for others', () => write(join(checkout, 'package-lock.json'), lockOf('2.0.0'))],
  ])('installs anew where %s', (_, harm) => {
    install();
    harm();
    expect(install()).toMatchObject({ status: 0, npm: expect.stringMatching(/^ci /) });
    expect(install()).toMatchObject({ status: 0, npm: null, stderr: '' });
  });

  test.each([{ OFFLINE: '1' }, { HALF: '1' }])(
    'leaves what was installed as it is where the update cannot be fetched, and says so (%o)',
    (env) => {
      install();
      write(join(checkout, 'package-lock.json'), lockOf('2.0.0'));
      const { status, stderr } = install([], env);
      expect(status).toBe(1);
      expect(stderr).toContain('What was installed before, if anything, is as it was.');
      expect(versionOf('builder')).toBe('1.0.0');
      expect(leftovers()).toEqual([]);
      expect(install()).toMatchObject({ status: 0, npm: expect.stringMatching(/^ci /) });
      expect(versionOf('builder')).toBe('2.0.0');
    },
  );

  test('to run what is built, packages for development may be missing', () => {
    install();
    rmSync(join(checkout, 'node_modules', 'builder'), { recursive: true });
    expect(install(['--to-run'])).toMatchObject({ status: 0, npm: null, stderr: '' });
    rmSync(join(checkout, 'dist'), { recursive: true });
    expect(install(['--to-run'])).toMatchObject({ status: 0, npm: expect.stringMatching(/^ci /) });
  });

  test('says which binary part of an update does not load here, and keeps what does', () => {
    install();
    writeFileSync(join(checkout, 'package-lock.json'), JSON.stringify(lockOf('2.0.0')));
    const broken = NPM.replace(
      `/index.js', ''`,
      `/index.js', path.endsWith('sqlite') ? 'throw new Error("no binary for this machine")' : ''`,
    );
    const npm = join(top, 'other', 'npm-cli.js');
    write(npm, broken);
    const { status, stderr } = install([], { npm_execpath: npm });
    expect(status).toBe(1);
    expect(stderr).toMatch(
      /A binary part of Oilshed does not load on .*: Error: no binary for this machine\nIt comes for .* is as it was\.\n$/,
    );
    expect(versionOf('builder')).toBe('1.0.0');
  });

  test('gives npm a folder for downloads where its own cannot be written to', () => {
    writeFileSync(join(top, 'a file'), '');
    const { npm } = install([], { npm_config_cache: join(top, 'a file', 'cache') });
    expect(npm).toMatch(/--cache \S.*[/\\]\.install-\d+[/\\]downloads$/);
    expect(leftovers()).toEqual([]);
  });

  test('removes what an installation left that was stopped, and nothing of one that runs', () => {
    // No process has this number: it is above the largest that systems give.
    mkdirSync(join(checkout, '.install-99999999'));
    mkdirSync(join(checkout, `.install-${process.pid}`));
    install();
    expect(leftovers()).toEqual([`.install-${process.pid}`]);
  });
});
