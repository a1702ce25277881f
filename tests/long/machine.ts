import { spawnSync } from 'node:child_process';
import { chmodSync, chownSync, cpSync, mkdirSync, symlinkSync } from 'node:fs';
import { basename, join } from 'node:path';
import { root } from '../support/root.ts';
import type { Node } from './nodes.ts';
import { type Ended, run, start } from './processes.ts';

/** What all made machines share: where the registry is, through which proxy, from which network. */
export interface World {
  folder: string;
  registry: string;
  proxyAddress: string;
  /** What a command begins with that is to run in a network of its own; nothing where none can be made. */
  enter: readonly string[];
}

/** A machine as a newcomer has it: one Node with its npm, an ordinary user, a home that cannot be written to. */
export interface Machine {
  /** Where an ordinary user may write; its name has blanks in it. */
  folder: string;
  /** Runs a command with one of the Nodes. */
  run(node: Node, command: readonly string[], cwd: string): Promise<Ended>;
  start(node: Node, command: readonly string[], cwd: string, until: RegExp): ReturnType<typeof start>;
}

/** The ordinary user, where this is run by root; undefined where whoever runs it is one. */
function ordinaryUser(): { name: string; uid: number; gid: number } | undefined {
  if (process.getuid?.() !== 0) return undefined;
  const id = (flag: string) => Number(spawnSync('id', [flag, 'nobody'], { encoding: 'utf8' }).stdout);
  return { name: 'nobody', uid: id('-u'), gid: id('-g') };
}

export function makeMachine(world: World, name: string): Machine {
  const user = ordinaryUser();
  const top = join(world.folder, name);
  const [home, folder, temporary] = ['home', 'a path with blanks', 'tmp'].map((each) => join(top, each));
  for (const each of [top, home, folder, temporary]) mkdirSync(each, { mode: 0o755 });
  if (user) for (const each of [folder, temporary]) chownSync(each, user.uid, user.gid);
  chmodSync(home, 0o555);

  /** A path that holds node, npm and a shell, and so no compiler, no Python and no git. */
  const pathWith = (node: Node) => {
    const bin = join(top, node.version);
    mkdirSync(bin, { mode: 0o755, recursive: true });
    const programs = { node: node.path, npm: join(node.npm, 'bin', 'npm-cli.js'), sh: '/bin/sh' };
    for (const [each, target] of Object.entries(programs)) linkOnce(target, join(bin, each));
    return bin;
  };
  const full = (node: Node, command: readonly string[]) => {
    const proxy = world.proxyAddress;
    const env = {
      PATH: pathWith(node),
      HOME: home,
      TMPDIR: temporary,
      LANG: 'C.UTF-8',
      HTTP_PROXY: proxy,
      HTTPS_PROXY: proxy,
      npm_config_registry: world.registry,
      npm_config_update_notifier: 'false',
      ...(process.env.NODE_EXTRA_CA_CERTS ? { NODE_EXTRA_CA_CERTS: process.env.NODE_EXTRA_CA_CERTS } : {}),
    };
    const bare = ['env', '-i', ...Object.entries(env).map(([key, value]) => `${key}=${value}`), ...command];
    return [...world.enter, ...(user ? ['runuser', '-u', user.name, '--'] : []), ...bare];
  };
  return {
    folder,
    run: (node, command, cwd) => run(full(node, command), { cwd }),
    start: (node, command, cwd, until) => start(full(node, command), { cwd, until }),
  };
}

function linkOnce(target: string, path: string): void {
  try {
    symlinkSync(target, path);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== 'EEXIST') throw error;
  }
}

/** What a clone or an archive does not hold. */
const MADE_HERE = ['node_modules', 'dist', '.git', 'oilshed-data', 'coverage'];

/** The source as a bare archive holds it, unpacked by the ordinary user of a machine. */
export function unpackSource({ folder }: Machine): string {
  const checkout = join(folder, 'oilshed');
  const isSource = (path: string) =>
    join(root, basename(path)) !== path ||
    !(MADE_HERE.includes(basename(path)) || basename(path).startsWith('.install-'));
  cpSync(root, checkout, { recursive: true, filter: isSource });
  giveAway(checkout);
  return checkout;
}

/** Makes the ordinary user the owner of a folder and of all in it. */
export function giveAway(folder: string): void {
  const user = ordinaryUser();
  if (user) spawnSync('chown', ['-R', `${user.uid}:${user.gid}`, folder]);
}
