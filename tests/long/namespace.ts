import { spawnSync } from 'node:child_process';

export interface Namespace {
  /** What a command begins with that is to run in it. */
  enter: readonly string[];
  /** The one address outside that can be reached from within. */
  hostAddress: string;
  remove(): void;
}

/** Addresses kept for documentation (RFC 5737): no real network has them. */
const [HOST, INSIDE] = ['192.0.2.1', '192.0.2.2'];

function ip(...words: string[]): void {
  const { status, stderr, error } = spawnSync('ip', words, { encoding: 'utf8' });
  if (status !== 0) throw new Error(error?.message ?? stderr.trim());
}

/**
 * A network of its own, from which this machine alone can be reached, at one address, and no name can be looked up.
 * Throws with the reason where none can be made: it takes root on Linux.
 */
export function makeNamespace(): Namespace {
  if (process.platform !== 'linux' || process.getuid?.() !== 0) throw new Error('it takes root on Linux');
  const name = `oilshed-${process.pid}`;
  const [outer, inner] = [`os${process.pid}a`, `os${process.pid}b`];
  const remove = () => {
    spawnSync('ip', ['link', 'del', outer]);
    spawnSync('ip', ['netns', 'del', name]);
  };
  try {
    ip('netns', 'add', name);
    ip('link', 'add', outer, 'type', 'veth', 'peer', 'name', inner, 'netns', name);
    ip('addr', 'add', `${HOST}/30`, 'dev', outer);
    ip('link', 'set', outer, 'up');
    for (const words of [
      ['addr', 'add', `${INSIDE}/30`, 'dev', inner],
      ['link', 'set', inner, 'up'],
      ['link', 'set', 'lo', 'up'],
    ])
      ip('-n', name, ...words);
    ip('netns', 'exec', name, 'true');
  } catch (error) {
    remove();
    throw error;
  }
  return { enter: ['ip', 'netns', 'exec', name], hostAddress: HOST, remove };
}
