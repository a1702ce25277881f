import { spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { MultiDirectedGraph } from 'graphology';
import { parse as parseGexf } from 'graphology-gexf';
import { parse as parseGraphml } from 'graphology-graphml';
import { afterAll, describe, expect, test } from 'vitest';
import { compileDrainage, graphUpstreamOf, toGraph, walk } from '../../../src/drainage/index.ts';
import { readSiteMap } from '../../../src/site-map/index.ts';
import { runVerb } from '../../support/cli.ts';
import { yardText } from '../../support/yard.ts';

const folder = mkdtempSync(join(tmpdir(), 'oilshed-graph-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const DEPOT = 'site-maps/freight-depot.geojson';
const FORMATS = ['graphml', 'gexf'] as const;
const drainageOf = (file: string) => compileDrainage(readSiteMap(readFileSync(file, 'utf8')).map);

type Scalars = Record<string, unknown>;

/** What a reader found in a graph file: attributes by node, edges with their ends, and what can reach a node. */
interface Found {
  nodes: Record<string, Scalars>;
  edges: Scalars[];
  upstream: string[];
}

/** Read by graphology itself. */
function readHere(file: string, at: string): Found {
  const parse = file.endsWith('.graphml') ? parseGraphml : parseGexf;
  const graph = parse(MultiDirectedGraph, readFileSync(file, 'utf8'));
  return {
    nodes: Object.fromEntries(graph.mapNodes((id, data) => [id, data])),
    edges: graph.mapDirectedEdges((id, data, from, to) => ({ ...data, id, from, to })),
    upstream: [...new Set([at, ...graph.nodes().filter((id) => reaches(graph, id, at))])].sort(),
  };
}

function reaches(graph: MultiDirectedGraph, from: string, at: string): boolean {
  const met = new Set([from]);
  for (const id of met) for (const next of graph.outNeighbors(id)) met.add(next);
  return met.has(at);
}

const PYTHON = '/usr/bin/python3';
const hasNetworkx = spawnSync(PYTHON, ['-c', 'import networkx']).status === 0;
if (!hasNetworkx) console.warn(`skipped: no networkx for ${PYTHON} to read graph files with`);

/** Read by networkx, a library that knows nothing of graphology. */
function readByNetworkx(file: string, at: string): Found {
  const { status, stdout, stderr } = spawnSync(PYTHON, ['tests/faces/cli/read-graph.py', file, at], {
    encoding: 'utf8',
  });
  expect([status, stderr]).toEqual([0, '']);
  return JSON.parse(stdout);
}

const READERS = [
  ['graphology', readHere, true],
  ['networkx', readByNetworkx, hasNetworkx],
] as const;

/** GEXF calls a name the label. */
const named = ({ label, ...rest }: Scalars): Scalars => ({ ...(label === undefined ? {} : { name: label }), ...rest });
const byId = (a: Scalars, b: Scalars) => String(a.id).localeCompare(String(b.id));

/** Holds what a reader found against the graph of the library, to the digits that a file has. */
function expectSame(found: Found, graph: ReturnType<typeof toGraph>): void {
  expect(Object.keys(found.nodes).sort()).toEqual(graph.nodes().sort());
  graph.forEachNode((id, data) => void expect(named(found.nodes[id])).toMatchObject(close(data)));
  const edges = graph.mapDirectedEdges((id, data, from, to) => ({ ...data, id, from, to }));
  expect(found.edges).toHaveLength(edges.length);
  edges.sort(byId);
  [...found.edges].sort(byId).forEach((edge, at) => void expect(named(edge)).toMatchObject(close(edges[at])));
}

const close = (data: object): Scalars =>
  Object.fromEntries(
    Object.entries(data)
      .filter(([, value]) => value !== null)
      .map(([key, value]) => [key, typeof value === 'number' ? expect.closeTo(value, 8) : value]),
  );

describe.each(READERS)('a graph file, read back by %s,', (_reader, read, isThere) => {
  test.skipIf(!isThere).each(FORMATS)('has the whole yard, as %s', async (format) => {
    const file = join(folder, `yard.${format}`);
    const { status, stdout, stderr } = await runVerb(['shed', DEPOT, '--graph', file]);
    const graph = toGraph(drainageOf(DEPOT));
    expect([status, stdout, stderr]).toEqual([0, `${file}: ${graph.order} nodes, ${graph.size} edges.\n`, '']);
    const found = read(file, 'SEP-1');
    expectSame(found, graph);
    expect(found.upstream).toEqual(walk(graph, 'SEP-1', 'in').sort());
  });

  test.skipIf(!isThere).each(FORMATS)('has the part upstream of --at alone, as %s', async (format) => {
    const file = join(folder, `part.${format}`);
    const { stdout } = await runVerb(['shed', DEPOT, '--at', 'SEP-1', '--graph', file, '--json']);
    const part = graphUpstreamOf(drainageOf(DEPOT), 'SEP-1');
    const { graph, zones } = JSON.parse(stdout);
    expect(graph).toEqual({ file, nodes: part.order, edges: part.size });
    const found = read(file, 'SEP-1');
    expectSame(found, part);
    expect(found.upstream).toEqual(Object.keys(found.nodes).sort());
    for (const { id, delivered } of zones) expect(found.nodes[id].delivered).toBeCloseTo(delivered, 8);
  });

  test.skipIf(!isThere).each(FORMATS)('keeps parallel pipes and hostile ids and names apart, as %s', async (format) => {
    const { nodes, edges } = read(await hostileFile(format), 'a\\u0001');
    expect(Object.fromEntries(Object.entries(nodes).map(([id, data]) => [id, named(data).name]))).toEqual({
      '<z "1"> & \'2\'': ']]> &amp; <b>"fuel" island</b>\\u000a\\u0007',
      'a\\u0001': 'a\\u0001',
      'a\\u005cu0001': 'a\\u005cu0001',
      'C:\\users': 'C:\\users',
      'é漢🛢': 'é漢🛢',
      '\\ud83d': '\\ud83d',
    });
    expect(edges.map(({ id, from, to }) => [id, from, to]).sort()).toEqual(
      [
        ['<z "1"> & \'2\' > a\\u0001', '<z "1"> & \'2\'', 'a\\u0001'],
        ['P"1"', 'a\\u0001', 'a\\u005cu0001'],
        ['P<2>', 'a\\u0001', 'a\\u005cu0001'],
      ].sort(),
    );
  });
});

/** Ids and names that break out of XML, or that it cannot hold. */
const HOSTILE = {
  zones: { '<z "1"> & \'2\'': { name: ']]> &amp; <b>"fuel" island</b>\n\u0007', drainsTo: 'a\u0001' } },
  structures: {
    'a\u0001': { kind: 'catch-basin' },
    'a\\u0001': { kind: 'manhole' },
    'C:\\users': { kind: 'manhole' },
    'é漢🛢': { kind: 'outfall' },
    '\ud83d': { kind: 'outfall' },
  },
  links: { 'P"1"': { from: 'a\u0001', to: 'a\\u0001' }, 'P<2>': { from: 'a\u0001', to: 'a\\u0001' } },
};

async function hostileFile(format: string): Promise<string> {
  const map = join(folder, 'hostile.geojson');
  writeFileSync(map, yardText(HOSTILE));
  const file = join(folder, `hostile.${format}`);
  expect((await runVerb(['shed', map, '--graph', file])).status).toBe(0);
  return file;
}

const hasXmllint = spawnSync('xmllint', ['--version']).status === 0;
if (!hasXmllint) console.warn('skipped: no xmllint to tell well-formed XML by');
test.skipIf(!hasXmllint).each(FORMATS)('hostile ids and names stand in well-formed XML, as %s', async (format) => {
  const { status, stderr } = spawnSync('xmllint', ['--noout', await hostileFile(format)], { encoding: 'utf8' });
  expect([status, stderr]).toEqual([0, '']);
});

describe('shed --graph', () => {
  test('- is GraphML on standard output, and nothing else', async () => {
    const file = join(folder, 'again.graphml');
    await runVerb(['shed', DEPOT, '--at', 'SEP-1', '--graph', file]);
    expect(await runVerb(['shed', DEPOT, '--at', 'SEP-1', '--graph', '-'])).toMatchObject({
      status: 0,
      stdout: readFileSync(file, 'utf8'),
      stderr: '',
    });
    const { status, lines } = await runVerb(['shed', DEPOT, '--graph', '-', '--json']);
    expect([status, lines]).toEqual([2, [expect.stringContaining('name a file with --graph')]]);
  });

  test('the answer stands as without it, with what was written below', async () => {
    const file = join(folder, 'beside.gexf');
    const plain = await runVerb(['shed', DEPOT, '--at', 'SEP-1']);
    const { stdout } = await runVerb(['shed', DEPOT, '--at', 'SEP-1', '--graph', file]);
    expect(stdout.startsWith(plain.stdout)).toBe(true);
    expect(stdout).toMatch(/beside\.gexf: \d+ nodes, \d+ edges\.\n$/);
  });

  test('a file that stands there already is written over, as with --out; one that cannot be written is told', async () => {
    const file = join(folder, 'there.graphml');
    writeFileSync(file, 'old');
    expect((await runVerb(['shed', DEPOT, '--graph', file])).status).toBe(0);
    expect(readFileSync(file, 'utf8')).toContain('</graphml>');
    const nowhere = join(folder, 'no-such-folder', 'yard.graphml');
    expect(await runVerb(['shed', DEPOT, '--graph', nowhere])).toMatchObject({
      status: 1,
      stdout: '',
      lines: [`${nowhere}: it could not be made (ENOENT); name another with --graph`],
    });
  });

  test('another ending is refused before the map is read, and so is a command with neither --at nor --graph', async () => {
    const file = join(folder, 'yard.xml');
    const { status, lines } = await runVerb(['shed', 'no-such-map.geojson', '--graph', file]);
    expect([status, existsSync(file)]).toEqual([2, false]);
    expect(lines).toEqual([expect.stringContaining('write a name that ends in .graphml or .gexf, or - for GraphML')]);
    expect(await runVerb(['shed', DEPOT])).toMatchObject({
      status: 2,
      lines: [expect.stringContaining('--at is missing; name a structure, or write the whole yard')],
    });
  });

  test('help has an example of it', async () => {
    const { stdout } = await runVerb(['shed', '--help']);
    expect(stdout).toContain('oilshed shed site-maps/freight-depot.geojson --graph depot.graphml');
  });
});
