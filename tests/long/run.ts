import { spawnSync } from 'node:child_process';
import { chmodSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { root } from '../support/root.ts';
import { coreTests, longTests } from './core.ts';
import { afterNpmCi, bareArchive, packedPackage, withoutDev } from './installs.ts';
import { type Machine, makeMachine, type World } from './machine.ts';
import { makeNamespace } from './namespace.ts';
import { fetchNodes, type Node } from './nodes.ts';
import { run, tail } from './processes.ts';
import { type RegistryProxy, registryProxy } from './proxy.ts';
import { close, count, holds, notTried } from './results.ts';

/**
 * `npm run test:long`: the core tests on each Node that Oilshed is held to, the files of tests that are long by their name, and
 * installations as a newcomer makes them: one Node and the npm registry, an ordinary user, a home that cannot be written to, a
 * path with blanks, no compiler and no Python. Needs the registry. `-- core`, `-- tests` and `-- installs` run one part. The last
 * line is "long: N passed, N failed".
 */
const part = process.argv[2];
const isAsked = (name: string) => part === undefined || part === name;
const npmPath = process.env.npm_execpath ?? '';
if (!/npm-cli\.c?js$/.test(npmPath)) throw new Error('run this by npm: npm run test:long');
const npm = [process.execPath, npmPath];

for (const signal of ['SIGINT', 'SIGTERM'] as const) process.once(signal, () => process.exit(1));
const scratch = mkdtempSync(join(tmpdir(), 'oilshed-long-'));
chmodSync(scratch, 0o755);
try {
  const nodes: Node[] = [];
  await holds('Node 20.19, 22 and 24 are fetched from the npm registry', async () => {
    nodes.push(...(await fetchNodes(join(scratch, 'nodes'), npm)));
  });
  if (isAsked('core')) {
    for (const node of nodes)
      await tests(`core tests on Node ${node.version}`, () => coreTests(node, join(scratch, `${node.version}.json`)));
  }
  if (isAsked('tests')) await tests('long tests', () => longTests(join(scratch, 'long.json'), nodes));
  if (isAsked('installs') && nodes.length > 0) await installs(nodes);
} finally {
  rmSync(scratch, { recursive: true, force: true });
}
process.exitCode = close();

async function tests(name: string, run: () => ReturnType<typeof coreTests>): Promise<void> {
  await holds(`the ${name} come to their end`, async () => {
    const { failures, ...counted } = await run();
    count(name, counted);
    for (const failure of failures) console.log(failure);
  });
}

function ownNetwork(): readonly string[] {
  try {
    return makeNamespace();
  } catch (error) {
    notTried('installing in a network of its own', (error as Error).message);
    return [];
  }
}

async function installs(nodes: readonly Node[]): Promise<void> {
  const enter = ownNetwork();
  const registry = spawnSync(npm[0], [npm[1], 'config', 'get', 'registry'], {
    cwd: scratch,
    encoding: 'utf8',
  }).stdout.trim();
  const proxy = await registryProxy(new URL(registry), { socket: join(scratch, 'proxy'), enter });
  try {
    const folder = join(scratch, 'machines');
    mkdirSync(folder, { mode: 0o755 });
    const world = { folder, registry, proxyAddress: proxy.address, enter };
    await eachInstallation(world, nodes, proxy);
  } finally {
    await proxy.close();
  }
}

async function eachInstallation(world: World, nodes: readonly Node[], proxy: RegistryProxy): Promise<void> {
  const [, node22, node24] = nodes;
  const probe = makeMachine(world, 'probe');
  await holds('the made machine reaches the registry and no other host, and has neither compiler nor Python', () =>
    isBare(probe, node24, world, proxy),
  );
  for (const node of nodes) {
    const others = nodes.filter((other) => other !== node);
    await bareArchive(makeMachine(world, `bare ${node.version}`), node, others, proxy);
  }
  await afterNpmCi(makeMachine(world, 'npm ci'), node22, proxy);
  await withoutDev(makeMachine(world, 'no dev'), node24);
  const pack = await run([...npm, 'pack', '--ignore-scripts', '--pack-destination', world.folder], { cwd: root });
  const tarball = readdirSync(world.folder).find((name) => name.endsWith('.tgz'));
  if (!tarball) throw new Error(tail(pack.said));
  const { exports }: { exports: Record<string, unknown> } = JSON.parse(
    readFileSync(join(root, 'package.json'), 'utf8'),
  );
  const rooms = Object.keys(exports).flatMap((name) => (name.endsWith('.json') ? [] : [name.replace('./', '')]));
  await packedPackage(makeMachine(world, 'package'), nodes, join(world.folder, tarball), rooms);
  await holds('no installation asked for another host than the registry', async () => {
    if (proxy.foreign.length > 0) throw new Error(`asked for: ${[...new Set(proxy.foreign)].join(', ')}`);
  });
}

/** The test's own ground: what it forbids cannot be had. */
async function isBare(machine: Machine, node: Node, { registry, enter }: World, proxy: RegistryProxy): Promise<void> {
  const says = async (...command: string[]) => (await machine.run(node, command, machine.folder)).said;
  const seen = await says(
    'sh',
    '-c',
    'for each in cc gcc make python python3 git curl; do command -v $each; done; echo "$?"',
  );
  if (!/^\d+\n$/.test(seen)) throw new Error(`its path has ${seen}`);
  const ping = await says('npm', 'view', 'zod', 'name', '--cache', join(machine.folder, 'npm'));
  if (ping.trim() !== 'zod') throw new Error(`the registry was not reached:\n${ping}`);
  const written = await says('node', '-e', `require('fs').writeFileSync(process.env.HOME + '/a', '')`);
  if (!/EACCES|EROFS/.test(written)) throw new Error(`its home can be written to: ${written}`);
  await says(
    'npm',
    'view',
    'zod',
    'name',
    '--registry',
    'http://elsewhere.invalid/',
    '--fetch-retries=0',
    '--cache',
    join(machine.folder, 'npm2'),
  );
  if (!proxy.foreign.some((host) => host.startsWith('elsewhere.invalid')))
    throw new Error('the proxy let another host by');
  proxy.foreign.length = 0;
  if (enter.length === 0) return;
  const direct = await says(
    'node',
    '-e',
    `fetch('${registry}').then(() => console.log('reached'), () => console.log('shut'))`,
  );
  if (direct.trim() !== 'shut') throw new Error(`the network can be reached past the proxy: ${direct}`);
}
