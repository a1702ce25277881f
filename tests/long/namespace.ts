import { spawnSync } from 'node:child_process';
import { installUnderCi } from '../../.scripts/debian.ts';

/**
 * A network of its own, with nothing in it but 127.0.0.1: what a command begins with that is to run in it. It goes with this
 * program. Throws with the reason where none can be made: it takes root on Linux.
 */
export function makeNamespace(): readonly string[] {
  if (process.platform !== 'linux' || process.getuid?.() !== 0) throw new Error('it takes root on Linux');
  if (spawnSync('ip', ['-Version']).error) installUnderCi('iproute2');
  const name = `oilshed-${process.pid}`;
  ip('netns', 'add', name);
  process.once('exit', () => spawnSync('ip', ['netns', 'del', name]));
  ip('-n', name, 'link', 'set', 'lo', 'up');
  ip('netns', 'exec', name, 'true');
  return ['ip', 'netns', 'exec', name];
}

function ip(...words: string[]): void {
  const { status, stderr, error } = spawnSync('ip', words, { encoding: 'utf8' });
  if (status !== 0) throw new Error(error?.message ?? stderr.trim());
}
