import { spawnSync } from 'node:child_process';
import { chmodSync, existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { root } from './support/root.ts';

const read = (name: string) => readFileSync(join(root, 'docs/deploy', name), 'utf8');
const linesOf = (text: string) =>
  text
    .replaceAll('\\\n', ' ')
    .split('\n')
    .filter((line) => line !== '' && !line.startsWith('#'));

/** What both run: the program as it is built here, and words that it knows. */
function expectProgram(words: readonly string[]): void {
  const at = words.findIndex((word) => word.endsWith('dist/cli/oilshed.js'));
  expect(at).toBeGreaterThan(0);
  expect(existsSync(join(root, 'dist/cli/oilshed.js'))).toBe(true);
  const help = spawnSync(process.execPath, ['dist/cli/oilshed.js', words[at + 1], '--help'], {
    cwd: root,
    encoding: 'utf8',
  });
  expect(help.status).toBe(0);
  for (const flag of words.slice(at + 2).filter((word) => word.startsWith('--'))) expect(help.stdout).toContain(flag);
}

describe('the systemd unit', () => {
  const lines = linesOf(read('oilshed.service'));
  const valuesOf = (key: string) =>
    lines.filter((line) => line.startsWith(`${key}=`)).map((line) => line.slice(key.length + 1));

  test('starts the built program with words that it knows, and names the first manager by what serve reads', () => {
    const [start] = valuesOf('ExecStart');
    expectProgram(start.split(' '));
    const serve = readFileSync(join(root, 'src/faces/cli/first-manager.ts'), 'utf8');
    for (const name of ['OILSHED_MANAGER', 'OILSHED_MANAGER_PASSWORD_FILE']) {
      expect(valuesOf('Environment').join('\n')).toContain(`${name}=`);
      expect(serve).toContain(name);
    }
    expect(valuesOf('LoadCredential')).toEqual(['password:/etc/oilshed/password']);
  });

  test('gives the program a user, a folder and nothing else', () => {
    for (const line of [
      'DynamicUser=yes',
      'StateDirectory=oilshed',
      'StateDirectoryMode=0700',
      'CapabilityBoundingSet=',
      'NoNewPrivileges=yes',
      'PrivateDevices=yes',
      'ProtectHome=yes',
      'ProtectSystem=strict',
      'RestrictAddressFamilies=AF_INET AF_INET6 AF_UNIX',
      'SystemCallFilter=@system-service',
      'UMask=0077',
    ])
      expect(lines).toContain(line);
    // It would end Node, which compiles what it runs.
    expect(valuesOf('MemoryDenyWriteExecute')).toEqual([]);
  });

  const analyze = spawnSync('systemd-analyze', ['--version']).status === 0;
  if (!analyze) console.warn('The unit is not checked by systemd-analyze, which is not on this machine.');
  test.skipIf(!analyze)('is understood by systemd, which finds little exposed', () => {
    const verify = spawnSync('systemd-analyze', ['verify', 'docs/deploy/oilshed.service'], {
      cwd: root,
      encoding: 'utf8',
    });
    expect(verify.stderr.split('\n').filter((line) => line.includes('oilshed.service'))).toEqual([]);
    const words = ['security', '--offline=true', '--threshold=20', 'docs/deploy/oilshed.service'];
    const security = spawnSync('systemd-analyze', words, { cwd: root, encoding: 'utf8' });
    expect(security.stdout).toMatch(/Overall exposure level for oilshed\.service: [01]\.\d OK/);
  });
});

describe('the Containerfile', () => {
  const lines = linesOf(read('Containerfile'));
  const wordsOf = (name: string) =>
    lines.filter((line) => line.startsWith(`${name} `)).map((line) => line.slice(name.length + 1).trim());

  test('builds on a Node that Oilshed is held to and runs as an ordinary user', () => {
    expect(new Set(wordsOf('FROM').map((image) => image.split(' ')[0]))).toEqual(
      new Set(['docker.io/library/node:24-bookworm-slim']),
    );
    expect(wordsOf('USER')).toEqual(['node']);
    expect(lines.indexOf('USER node')).toBeLessThan(lines.findIndex((line) => line.startsWith('CMD')));
    expect(wordsOf('VOLUME')).toEqual(['/data']);
  });

  test('copies what there is, all that the program needs at run time, and starts it with words that it knows', () => {
    const copied = wordsOf('COPY')
      .filter((words) => words.startsWith('--from=build'))
      .flatMap((words) => words.split(' ').slice(1, -1))
      .map((path) => path.replace('/build/', ''));
    expect(copied.sort()).toEqual(['LICENSE', 'dist', 'node_modules', 'package.json', 'site-maps']);
    for (const path of copied) expect(existsSync(join(root, path))).toBe(true);
    expectProgram([...wordsOf('ENTRYPOINT'), ...wordsOf('CMD')].flatMap((words) => JSON.parse(words)));
  });

  test('leaves the log book, and what was built on this machine, out of the image', () => {
    const ignored = linesOf(read('Containerfile.dockerignore'));
    for (const name of ['oilshed-data', 'node_modules', 'dist', '.git']) expect(ignored).toContain(name);
  });

  const container = ['podman', 'docker'].find(
    (program) => spawnSync(program, ['image', 'inspect', 'docker.io/library/node:24-bookworm-slim']).status === 0,
  );
  if (!container)
    console.warn('No container is built: none of podman and docker answers here with the base image at hand.');
  test.skipIf(!container)('is built and answers', { timeout: 900_000 }, async () => {
    const run = (...words: string[]) => spawnSync(String(container), words, { cwd: root, encoding: 'utf8' });
    const tag = `oilshed-test-${process.pid}`;
    const built = run('build', '--tag', tag, '--file', 'docs/deploy/Containerfile', '.');
    expect({ status: built.status, stderr: built.status === 0 ? '' : built.stderr }).toEqual({ status: 0, stderr: '' });
    const folder = mkdtempSync(join(tmpdir(), 'oilshed-container-'));
    try {
      const file = join(folder, 'password');
      // The container's user is another, and reads it too.
      chmodSync(folder, 0o755);
      writeFileSync(file, 'plates above the baffle\n', { mode: 0o644 });
      const given = ['--env', 'OILSHED_MANAGER=M. Lund', '--volume', `${file}:/run/secrets/manager:ro`];
      const started = run('run', '--detach', '--read-only', '--name', tag, ...given, tag);
      expect(started.status).toBe(0);
      const ask =
        "fetch('http://127.0.0.1:8080/api/health').then((r) => process.exit(r.ok ? 0 : 1), () => process.exit(1))";
      await expect.poll(() => run('exec', tag, 'node', '-e', ask).status, { timeout: 60_000, interval: 500 }).toBe(0);
    } finally {
      run('rm', '--force', tag);
      run('rmi', '--force', tag);
      rmSync(folder, { recursive: true, force: true });
    }
  });
});
