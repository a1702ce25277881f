// Starts nginx for the tests, as a relay in front of a server. Under CI as root it installs Debian's; elsewhere it names what to install.
import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { chmodSync, existsSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { connect } from 'node:net';
import { tmpdir } from 'node:os';
import { delimiter, join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { installUnderCi } from './debian.ts';

function found(): string | undefined {
  const folders = [...(process.env.PATH?.split(delimiter) ?? []), '/usr/sbin'];
  return folders.map((folder) => join(folder, 'nginx')).find((file) => existsSync(file));
}

/** The program nginx, or an Error that says what to install. */
export function findNginx(): string {
  if (!found()) installUnderCi('nginx');
  const here = found();
  if (here) return here;
  throw new Error('Relays are tried with nginx where there is one. Debian and Ubuntu: sudo apt-get install nginx');
}

/**
 * nginx on this machine alone, with the servers of a configuration; ready once something answers at `port`, one of theirs.
 * Comes back with what ends it.
 */
export async function startNginx(servers: string, port: number): Promise<() => Promise<void>> {
  const program = findNginx();
  const folder = mkdtempSync(join(tmpdir(), 'oilshed-nginx-'));
  // As root it works under a user of its own, which must get at the folder.
  chmodSync(folder, 0o755);
  const places = ['client_body', 'proxy', 'fastcgi', 'uwsgi', 'scgi'].map(
    (name) => `${name}_temp_path ${join(folder, name)};`,
  );
  const file = join(folder, 'nginx.conf');
  writeFileSync(
    file,
    `daemon off; pid ${join(folder, 'pid')}; error_log stderr crit; events {}
http { access_log off; ${places.join(' ')}\n${servers}\n}\n`,
  );
  const child = spawn(program, ['-p', folder, '-c', file, '-e', 'stderr'], { stdio: ['ignore', 2, 'inherit'] });
  await answersAt(port, child);
  return async () => {
    const ended = once(child, 'exit');
    child.kill('SIGTERM');
    await ended;
    rmSync(folder, { recursive: true, force: true });
  };
}

async function answersAt(port: number, child: ChildProcess): Promise<void> {
  for (let tries = 0; tries < 200 && child.exitCode === null; tries++) {
    const socket = connect(port, '127.0.0.1');
    const isThere = await new Promise((resolve) => {
      socket.once('connect', () => resolve(true)).once('error', () => resolve(false));
    });
    socket.destroy();
    if (isThere) return;
    await sleep(20);
  }
  throw new Error('nginx did not start');
}
