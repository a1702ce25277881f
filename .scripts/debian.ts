// What the tests try where it is there: programs of Debian's packages, and ports that nobody uses.
import { spawnSync } from 'node:child_process';
import { type AddressInfo, createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

/** Installs one of Debian's packages under CI as root, one at a time; does nothing elsewhere. */
export function installUnderCi(name: string): void {
  if (!process.env.CI || process.getuid?.() !== 0) return;
  const env = { ...process.env, DEBIAN_FRONTEND: 'noninteractive' };
  const words = `apt-get update -q && apt-get install -y -q --no-install-recommends ${name}`;
  spawnSync('flock', [join(tmpdir(), 'oilshed-apt.lock'), 'sh', '-c', words], { stdio: ['ignore', 2, 2], env });
}

/** A port of this machine that nobody listens at. */
export const freePort = () =>
  new Promise<number>((resolve) => {
    const server = createServer().listen(0, '127.0.0.1', () => {
      const { port } = server.address() as AddressInfo;
      server.close(() => resolve(port));
    });
  });
