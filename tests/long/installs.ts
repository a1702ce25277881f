import { createHash } from 'node:crypto';
import { cpSync, existsSync, mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { basename, join } from 'node:path';
import { giveAway, type Machine, unpackSource } from './machine.ts';
import type { Node } from './nodes.ts';
import { tail } from './processes.ts';
import type { RegistryProxy } from './proxy.ts';
import { holds } from './results.ts';

const INSTALLS = /^Installing /m;
const BUILDS = /^Building /m;

function expect(isSo: boolean, what: string, said: string): void {
  if (!isSo) throw new Error(`${what}. It said:\n${tail(said)}`);
}

/** `npm start` answers its health check; comes back with what it said until then. */
async function startAnswers(machine: Machine, node: Node, command: readonly string[], cwd: string): Promise<string> {
  const { said, stop } = await machine.start(node, command, cwd, /^Stop it with/m);
  try {
    const [, address] = /at (http\S+)/.exec(said) ?? [];
    // Asked by a program on the same machine, past any proxy.
    const ask = `fetch('${address}/api/health').then(async (r) => console.log(r.status, await r.text()))`;
    const health = await machine.run(node, ['node', '-e', ask], cwd);
    expect(/^200 /m.test(health.said), 'The health check was not answered', health.said + said);
    return said;
  } finally {
    await stop();
  }
}

/** Runs something with the registry out of reach. */
async function offline<T>(proxy: RegistryProxy, work: () => Promise<T>): Promise<T> {
  proxy.isOnline = false;
  try {
    return await work();
  } finally {
    proxy.isOnline = true;
  }
}

/** `npm start` with what is there: nothing is installed or built, and no network is needed. */
const startsAtOnce = (machine: Machine, node: Node, checkout: string, proxy: RegistryProxy) =>
  offline(proxy, async () => {
    const said = await startAnswers(machine, node, ['npm', 'start'], checkout);
    expect(!INSTALLS.test(said) && !BUILDS.test(said), 'It installed or built again', said);
  });

/** A bare archive on one Node: installed by `npm start`, started again, and on the other Nodes, with no network. */
export async function bareArchive(machine: Machine, node: Node, others: readonly Node[], proxy: RegistryProxy) {
  const checkout = unpackSource(machine);
  const name = `bare archive on Node ${node.version}`;
  const isThere = await holds(`${name}: npm start installs, builds and answers`, async () => {
    const said = await startAnswers(machine, node, ['npm', 'start'], checkout);
    expect(INSTALLS.test(said) && BUILDS.test(said), 'It did not install and build', said);
  });
  if (!isThere) return;
  await holds(`${name}: the second npm start, without a network, does neither`, () =>
    startsAtOnce(machine, node, checkout, proxy),
  );
  for (const other of others)
    await holds(`${name}: after Node was changed to ${other.version}, without a network, npm start answers`, () =>
      startsAtOnce(machine, other, checkout, proxy),
    );
  await holds(`${name}: an update that cannot be fetched leaves what works as it is`, () =>
    updateOutOfReach(machine, node, checkout, proxy),
  );
}

/** The names in a checkout's node_modules with the hash of npm's own list of them. */
function installedIn(checkout: string): string {
  const modules = join(checkout, 'node_modules');
  const hash = createHash('sha256')
    .update(readFileSync(join(modules, '.package-lock.json')))
    .digest('hex');
  return `${readdirSync(modules).join(' ')} ${hash}`;
}

async function updateOutOfReach(machine: Machine, node: Node, checkout: string, proxy: RegistryProxy): Promise<void> {
  const lock = join(checkout, 'package-lock.json');
  const text = readFileSync(lock, 'utf8');
  const updated = JSON.parse(text);
  updated.packages['node_modules/zod'].integrity = `sha512-${Buffer.alloc(64).toString('base64')}`;
  const before = installedIn(checkout);
  writeFileSync(lock, JSON.stringify(updated));
  const { status, said } = await offline(proxy, () => machine.run(node, ['npm', 'start'], checkout));
  writeFileSync(lock, text);
  expect(status === 1 && /What was installed before, if anything, is as it was/.test(said), 'It was not refused', said);
  expect(installedIn(checkout) === before, 'node_modules was changed', said);
  expect(!readdirSync(checkout).some((each) => each.startsWith('.install-')), 'It left its folder behind', said);
  await startsAtOnce(machine, node, checkout, proxy);
}

/** After `npm ci`, with its own folder for downloads since the home cannot be written to, `npm start` has nothing to do. */
export async function afterNpmCi(machine: Machine, node: Node, proxy: RegistryProxy): Promise<void> {
  const checkout = unpackSource(machine);
  const name = `npm ci on Node ${node.version}`;
  const isThere = await holds(`${name} installs and builds`, async () => {
    const { status, said } = await machine.run(node, ['npm', 'ci', '--cache', join(machine.folder, 'npm')], checkout);
    expect(status === 0 && existsSync(join(checkout, 'dist', 'cli', 'oilshed.js')), 'It did not', said);
  });
  if (!isThere) return;
  await holds(`${name}: npm start, without a network, neither installs nor builds`, () =>
    startsAtOnce(machine, node, checkout, proxy),
  );
}

/** Without the packages for development nothing is built at first, nor does anything break; `npm start` gets them. */
export async function withoutDev(machine: Machine, node: Node): Promise<void> {
  const checkout = unpackSource(machine);
  const name = `npm ci --omit=dev on Node ${node.version}`;
  const isThere = await holds(`${name} does not break`, async () => {
    const words = ['npm', 'ci', '--omit=dev', '--foreground-scripts', '--cache', join(machine.folder, 'npm')];
    const { status, said } = await machine.run(node, words, checkout);
    expect(status === 0 && said.includes('Not built yet'), 'It did', said);
  });
  if (!isThere) return;
  await holds(`${name}: npm start fetches the rest, builds and answers`, async () => {
    const said = await startAnswers(machine, node, ['npm', 'start'], checkout);
    expect(INSTALLS.test(said) && BUILDS.test(said), 'It did not install and build', said);
  });
}

/** The packed package in an empty project: its program and its rooms, on each Node. */
export async function packedPackage(
  machine: Machine,
  nodes: readonly Node[],
  tarball: string,
  rooms: readonly string[],
) {
  const project = join(machine.folder, 'project');
  mkdirSync(project);
  writeFileSync(join(project, 'package.json'), JSON.stringify({ private: true, type: 'module' }));
  writeFileSync(join(project, 'rooms.js'), importing(rooms));
  cpSync(tarball, join(project, basename(tarball)));
  giveAway(project);
  const [first] = nodes;
  const isThere = await holds(`the package is installed in an empty project on Node ${first.version}`, async () => {
    const words = ['npm', 'install', `./${basename(tarball)}`, '--cache', join(machine.folder, 'npm')];
    const { status, said } = await machine.run(first, words, project);
    expect(status === 0, 'It was not', said);
  });
  if (!isThere) return;
  const program = join(project, 'node_modules', '.bin', 'oilshed');
  const map = join(project, 'node_modules', 'oilshed', 'site-maps', 'freight-depot.geojson');
  for (const node of nodes) {
    await holds(`the installed package on Node ${node.version}: every room is imported`, async () => {
      const { status, said } = await machine.run(node, ['node', 'rooms.js'], project);
      expect(status === 0 && said === `${rooms.length} rooms\n`, 'It was not', said);
    });
    await holds(`the installed package on Node ${node.version}: its program answers, and serves`, async () => {
      const { status, said } = await machine.run(node, [program, 'check', map, '--json'], project);
      expect(status === 0 && JSON.parse(said).separators.length > 0, 'It did not answer', said);
      await startAnswers(machine, node, [program, 'serve'], project);
    });
  }
}

const importing = (rooms: readonly string[]) => `
const rooms = ${JSON.stringify(rooms)};
const all = await Promise.all(rooms.map((room) => import('oilshed/' + room)));
console.log(all.filter((room) => Object.keys(room).length > 0).length + ' rooms');
`;
