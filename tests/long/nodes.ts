import { spawnSync } from 'node:child_process';
import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { run, tail } from './processes.ts';

export interface Node {
  version: string;
  path: string;
}

/** The Node releases that Oilshed is held to, by the names under which their packages are installed. */
const WANTED = { node2019: '20.19', node22: '22', node24: '24' };

/** Fetches each as an npm package, which holds the program. */
export async function fetchNodes(folder: string, npm: readonly string[]): Promise<Node[]> {
  mkdirSync(folder);
  // The package named node has an install script that takes the program for this platform.
  writeFileSync(join(folder, 'package.json'), JSON.stringify({ private: true, allowScripts: { node: true } }));
  const packages = Object.entries(WANTED).map(([name, version]) => `${name}@npm:node@${version}`);
  const { status, said } = await run([...npm, 'install', '--no-audit', '--no-fund', ...packages], { cwd: folder });
  if (status !== 0) throw new Error(tail(said));
  return Object.entries(WANTED).map(([name, wanted]) => {
    const path = join(folder, 'node_modules', name, 'bin', 'node');
    const version = spawnSync(path, ['--version'], { encoding: 'utf8' }).stdout?.trim();
    if (!version?.startsWith(`v${wanted}.`)) throw new Error(`${path} is ${version}, not Node ${wanted}`);
    return { version, path };
  });
}
