import { spawnSync } from 'node:child_process';
import { cpSync, mkdirSync, mkdtempSync, readdirSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { afterAll, describe, expect, test } from 'vitest';
import { root } from '../../support/root.ts';

const folder = mkdtempSync(join(tmpdir(), 'oilshed-not-installed-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const SQLITE = '@photostructure/sqlite';
const ARGON2 = '@node-rs/argon2';

/** The names of the installed packages. */
const installed = () =>
  readdirSync(join(root, 'node_modules'))
    .filter((name) => !name.startsWith('.'))
    .flatMap((name) =>
      name.startsWith('@') ? readdirSync(join(root, 'node_modules', name)).map((each) => `${name}/${each}`) : [name],
    );

/** The program with its packages, without those that `leaveOut` names and with a copy of its own of those in `copy`. */
function program(name: string, { leaveOut, copy = [] }: { leaveOut: RegExp; copy?: string[] }) {
  const place = join(folder, name);
  cpSync(join(root, 'dist', 'cli'), join(place, 'dist', 'cli'), { recursive: true });
  writeFileSync(join(place, 'package.json'), JSON.stringify({ type: 'module' }));
  for (const each of installed().filter((one) => !leaveOut.test(one))) {
    const [from, to] = [join(root, 'node_modules', each), join(place, 'node_modules', each)];
    mkdirSync(dirname(to), { recursive: true });
    if (copy.includes(each)) cpSync(from, to, { recursive: true });
    else symlinkSync(from, to);
  }
  const { DATABASE_URL: _, ...env } = process.env;
  const run = (words: string[], input = '') => {
    const all = [join(place, 'dist', 'cli', 'oilshed.js'), ...words, '--data', join(place, 'book')];
    const { status, stdout, stderr } = spawnSync(process.execPath, all, { encoding: 'utf8', env, input });
    return { status, stdout, stderr };
  };
  return { place, run };
}

const plainly = (what: string) => ({
  status: 1,
  stdout: '',
  stderr: expect.stringMatching(new RegExp(`^[^\\n]*${what}[^\\n]*; run npm ci in [^\\n]*\\n$`)),
});

const LIST = ['log', 'list'];
const ADD = ['people', 'add', 'M. Lund', '--role', 'manager'];
const PASSWORD = 'plates above the baffle\n';

describe('a package that does not load is said so, with what to do', () => {
  test('SQLite, missing', () => {
    const { run } = program('no-sqlite', { leaveOut: new RegExp(`^${SQLITE}$`) });
    expect(run(ADD, PASSWORD)).toEqual(plainly(`book: ${SQLITE} does not load here .*Cannot find package`));
  });

  test('SQLite, whose binary is of no such machine', () => {
    const { place, run } = program('no-binary', { leaveOut: /^$/, copy: [SQLITE] });
    rmSync(join(place, 'node_modules', SQLITE, 'prebuilds'), { recursive: true });
    rmSync(join(place, 'node_modules', SQLITE, 'build'), { recursive: true, force: true });
    expect(run(['serve'])).toEqual(
      plainly(`book: ${SQLITE} does not load here \\(${process.platform} .*No native build`),
    );
  });

  test('SQLite, whose binary is not one', () => {
    const { place, run } = program('bad-binary', { leaveOut: /^$/, copy: [SQLITE] });
    const prebuilds = join(place, 'node_modules', SQLITE, 'prebuilds');
    const binaries = readdirSync(prebuilds, { recursive: true, encoding: 'utf8' }).filter((name) =>
      name.endsWith('.node'),
    );
    expect(binaries.length).toBeGreaterThan(0);
    for (const name of binaries) writeFileSync(join(prebuilds, name), 'no binary');
    expect(run(ADD, PASSWORD)).toEqual(plainly(`book: ${SQLITE} does not load here`));
  });

  test('the hashing of passwords, without its binary', () => {
    const { run } = program('no-argon2', { leaveOut: new RegExp(`^${ARGON2}-`), copy: [ARGON2] });
    expect(run(ADD, PASSWORD)).toEqual(plainly(`book: ${ARGON2} does not load here`));
  });

  test('any other package', () => {
    const { run } = program('no-fastify', { leaveOut: /^fastify$/ });
    expect(run(LIST).stderr).toContain('there is no log book in this folder');
    expect(run(['serve'])).toEqual(plainly("oilshed: a part of it is missing .*'fastify'"));
  });
});
