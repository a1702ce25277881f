import { spawnSync } from 'node:child_process';
import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { run, tail } from './processes.ts';

export interface Node {
  version: string;
  path: string;
  /** The folder of the npm that comes with it. */
  npm: string;
}

/** The Node releases that Oilshed is held to, each with the npm that comes with it. */
const WANTED = [
  { node: '20.19', npm: '10.8' },
  { node: '22', npm: '10.9' },
  { node: '24', npm: '11' },
];

/** Fetches each as an npm package, which holds the program, and its npm. */
export async function fetchNodes(folder: string, npm: readonly string[]): Promise<Node[]> {
  mkdirSync(folder);
  // The package named node has an install script that takes the program for this platform.
  writeFileSync(join(folder, 'package.json'), JSON.stringify({ private: true, allowScripts: { node: true } }));
  const packages = WANTED.flatMap((each) => [
    `node${each.node}@npm:node@${each.node}`,
    `npm${each.node}@npm:npm@${each.npm}`,
  ]);
  const { status, said } = await run([...npm, 'install', '--no-audit', '--no-fund', ...packages], { cwd: folder });
  if (status !== 0) throw new Error(tail(said));
  return WANTED.map(({ node: wanted }) => {
    const path = join(folder, 'node_modules', `node${wanted}`, 'bin', 'node');
    const version = spawnSync(path, ['--version'], { encoding: 'utf8' }).stdout?.trim();
    if (!version?.startsWith(`v${wanted}.`)) throw new Error(`${path} is ${version}, not Node ${wanted}`);
    return { version, path, npm: join(folder, 'node_modules', `npm${wanted}`) };
  });
}
