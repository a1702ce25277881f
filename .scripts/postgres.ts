// Starts a throw-away PostgreSQL for the tests. Under CI as root it installs Debian's; elsewhere it names what to install.
import { spawnSync } from 'node:child_process';
import { chmodSync, chownSync, existsSync, mkdirSync, mkdtempSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { delimiter, join } from 'node:path';
import { freePort, installUnderCi } from './debian.ts';

const DEBIAN = '/usr/lib/postgresql';

function found(): string | undefined {
  const versions = existsSync(DEBIAN) ? readdirSync(DEBIAN).sort((a, b) => Number(b) - Number(a)) : [];
  const path = process.env.PATH?.split(delimiter) ?? [];
  const folders = [...versions.map((version) => join(DEBIAN, version, 'bin')), ...path];
  return folders.find((folder) => existsSync(join(folder, 'initdb')));
}

/** Folder of PostgreSQL's programs, or an Error that says what to install. */
function findPostgres(): string {
  if (!found()) installUnderCi('postgresql-15');
  const here = found();
  if (here) return here;
  throw new Error(
    'The log book is tried on PostgreSQL too where there is one. Debian and Ubuntu: sudo apt-get install postgresql',
  );
}

/**
 * A new server on this machine alone: its address, what ends it, and what makes it fall over and start again. Throws an
 * Error that says what to install.
 */
export async function startPostgres(): Promise<{ url: string; stop(): void; crash(): void }> {
  const bin = findPostgres();
  const folder = mkdtempSync(join(tmpdir(), 'oilshed-pg-'));
  const data = join(folder, 'data');
  // PostgreSQL refuses to run as root.
  const isRoot = process.getuid?.() === 0;
  chmodSync(folder, 0o755);
  mkdirSync(data, { mode: 0o700 });
  if (isRoot) {
    const id = (flag: string) => Number(spawnSync('id', [flag, 'postgres'], { encoding: 'utf8' }).stdout);
    chownSync(data, id('-u'), id('-g'));
  }
  const run = (program: string, ...words: string[]) => {
    const command = [join(bin, program), ...words];
    const [first, ...rest] = isRoot ? ['runuser', '-u', 'postgres', '--', ...command] : command;
    const { status, stderr } = spawnSync(first, rest, {
      encoding: 'utf8',
      stdio: ['ignore', 'ignore', 'pipe'],
      cwd: '/',
    });
    if (status !== 0) throw new Error(`${program} did not succeed: ${stderr}`);
  };
  const port = await freePort();
  const settings = `-p ${port} -c listen_addresses=127.0.0.1 -c unix_socket_directories=${data}`;
  run('initdb', '-D', data, '-U', 'app', '--auth=trust', '--encoding=UTF8', '--locale=C.UTF-8');
  const start = () => run('pg_ctl', '-D', data, '-w', '-l', join(data, 'log'), '-o', settings, 'start');
  start();
  return {
    url: `postgres://app@127.0.0.1:${port}/postgres`,
    stop() {
      run('pg_ctl', '-D', data, '-m', 'fast', 'stop');
      rmSync(folder, { recursive: true, force: true });
    },
    crash() {
      run('pg_ctl', '-D', data, '-m', 'immediate', 'stop');
      start();
    },
  };
}
