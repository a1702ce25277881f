import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import highsLoader from 'highs';
import { describe, expect, test } from 'vitest';
import { type MinCut, minCut, type Network } from '../../src/algorithms/index.ts';

/** Proves a cut from first principles: the flow obeys capacity and balance, and its value is the cut's capacity. */
function proveCut(network: Network, source: number, sink: number, { value, sourceSide, flow }: MinCut): void {
  const balance = new Float64Array(network.nodeCount);
  network.from.forEach((from, edge) => {
    expect(flow[edge]).toBeGreaterThanOrEqual(0);
    expect(flow[edge]).toBeLessThanOrEqual(network.capacity[edge]);
    balance[from] -= flow[edge];
    balance[network.to[edge]] += flow[edge];
  });
  balance.forEach((left, node) => {
    if (node !== source && node !== sink) expect(left).toBe(0);
  });
  expect(balance[sink]).toBe(value);
  expect([sourceSide[source], sourceSide[sink]]).toEqual([1, 0]);
  const crossing = network.from.reduce(
    (sum, from, edge) =>
      sum + (sourceSide[from] === 1 && sourceSide[network.to[edge]] === 0 ? network.capacity[edge] : 0),
    0,
  );
  expect(crossing).toBe(value);
}

function named(edges: [string, string, number][], source: string, sink: string) {
  const names = [...new Set(edges.flatMap(([from, to]) => [from, to] as string[]))];
  const network: Network = {
    nodeCount: names.length,
    from: edges.map(([from]) => names.indexOf(from)),
    to: edges.map(([, to]) => names.indexOf(to)),
    capacity: edges.map(([, , capacity]) => capacity),
  };
  const cut = minCut(network, names.indexOf(source), names.indexOf(sink));
  proveCut(network, names.indexOf(source), names.indexOf(sink), cut);
  const isCut = ([from, to]: [string, string, number]) =>
    cut.sourceSide[names.indexOf(from)] === 1 && cut.sourceSide[names.indexOf(to)] === 0;
  return { value: cut.value, edges: edges.filter(isCut).map(([from, to]) => [from, to]) };
}

/** The generator of tests/worked-examples/max-flow.py, number by number. */
function seededNetwork(seed: number): Network {
  let state = seed * 104729;
  const next = () => {
    state = (state * 48271) % 2147483647;
    return state;
  };
  const nodeCount = 4 + (next() % 30);
  const [from, to, capacity]: [number[], number[], number[]] = [[], [], []];
  const edgeCount = nodeCount * (2 + (next() % 3));
  for (let edge = 0; edge < edgeCount; edge++) {
    const [tail, head, most] = [next() % nodeCount, next() % nodeCount, next() % 1000];
    if (tail === head) continue;
    from.push(tail);
    to.push(head);
    capacity.push(most);
  }
  return { nodeCount, from, to, capacity };
}

const reference = JSON.parse(readFileSync(new URL('../worked-examples/max-flow.json', import.meta.url), 'utf8'));

describe('minimum cut', () => {
  test('the small network of the NetworkX documentation (1.4, min_cut) has a cut of 3, at x-b and c-y', () => {
    const found = named(
      [
        ['x', 'a', 3],
        ['x', 'b', 1],
        ['a', 'c', 3],
        ['b', 'c', 5],
        ['b', 'd', 4],
        ['d', 'e', 2],
        ['c', 'y', 2],
        ['e', 'y', 3],
      ],
      'x',
      'y',
    );
    expect(found).toEqual({
      value: 3,
      edges: [
        ['x', 'b'],
        ['c', 'y'],
      ],
    });
  });

  test('the flow example of Introduction to Algorithms (Cormen et al., from memory) has the value 23', () => {
    const found = named(
      [
        ['s', 'v1', 16],
        ['s', 'v2', 13],
        ['v1', 'v3', 12],
        ['v2', 'v1', 4],
        ['v3', 'v2', 9],
        ['v2', 'v4', 14],
        ['v4', 'v3', 7],
        ['v3', 't', 20],
        ['v4', 't', 4],
      ],
      's',
      't',
    );
    expect(found).toEqual({
      value: 23,
      edges: [
        ['v1', 'v3'],
        ['v4', 'v3'],
        ['v4', 't'],
      ],
    });
  });

  test('300 random networks have the values that networkx gives, each proved by its own flow', () => {
    expect(reference.values).toHaveLength(300);
    for (let seed = 1; seed <= 300; seed++) {
      const network = seededNetwork(seed);
      const cut = minCut(network, 0, network.nodeCount - 1);
      expect(cut.value, `seed ${seed}`).toBe(reference.values[seed - 1]);
      proveCut(network, 0, network.nodeCount - 1, cut);
    }
  });

  test('the linear program of maximum flow, solved by HiGHS, has the same value', async () => {
    const highs = await highsLoader();
    for (let seed = 1001; seed <= 1030; seed++) {
      const network = seededNetwork(seed);
      const sink = network.nodeCount - 1;
      const term = (edge: number, sign: string) => ` ${sign} f${edge}`;
      const row = (node: number) =>
        network.from
          .map((from, edge) => (from === node ? term(edge, '-') : network.to[edge] === node ? term(edge, '+') : ''))
          .join('');
      const rows = Array.from({ length: network.nodeCount }, (_, node) => node)
        .filter((node) => node !== 0 && node !== sink && row(node) !== '')
        .map((node) => ` n${node}:${row(node)} = 0`);
      const bounds = network.capacity.map((capacity, edge) => ` 0 <= f${edge} <= ${capacity}`);
      const program = `Maximize\n obj:${row(sink) || ' 0 f0'}\nSubject To\n${rows.join('\n')}\n none: 0 f0 <= 1\nBounds\n${bounds.join('\n')}\nEnd`;
      const { Status, ObjectiveValue } = highs.solve(program);
      expect(Status).toBe('Optimal');
      expect(minCut(network, 0, sink).value, `seed ${seed}`).toBeCloseTo(ObjectiveValue, 6);
    }
  });

  test('an edge of no limit is never cut, and a way of no limit has no cut', () => {
    const open = { nodeCount: 3, from: [0, 1], to: [1, 2], capacity: [Number.POSITIVE_INFINITY, 7] };
    expect(minCut(open, 0, 2).value).toBe(7);
    expect(minCut({ ...open, capacity: [Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY] }, 0, 2).value).toBe(
      Number.POSITIVE_INFINITY,
    );
  });

  test('a sink that cannot be reached has a cut of 0 with everything reached on the source side', () => {
    const { value, sourceSide } = minCut({ nodeCount: 3, from: [0], to: [1], capacity: [5] }, 0, 2);
    expect(value).toBe(0);
    expect([...sourceSide]).toEqual([1, 1, 0]);
  });

  test('no cut is cheaper: every division of small random networks is tried', () => {
    const edge = fc.tuple(fc.nat(5), fc.nat(5), fc.nat(20));
    fc.assert(
      fc.property(fc.array(edge, { maxLength: 14 }), (edges) => {
        const network = {
          nodeCount: 6,
          from: edges.map(([from]) => from),
          to: edges.map(([, to]) => to),
          capacity: edges.map(([, , most]) => most),
        };
        let least = Number.POSITIVE_INFINITY;
        for (let side = 0; side < 16; side++) {
          const onSource = (node: number) => node === 0 || (node !== 5 && ((side >> (node - 1)) & 1) === 1);
          const sum = edges.reduce((so, [from, to, most]) => so + (onSource(from) && !onSource(to) ? most : 0), 0);
          least = Math.min(least, sum);
        }
        expect(minCut(network, 0, 5).value).toBe(least);
      }),
      { seed: 7, numRuns: 500 },
    );
  });

  test('a chain of 200,000 edges does not overflow the stack', () => {
    const length = 200_000;
    const from = Array.from({ length }, (_, node) => node);
    const network = { nodeCount: length + 1, from, to: from.map((node) => node + 1), capacity: from.map(() => 2) };
    expect(minCut(network, 0, length).value).toBe(2);
  });
});
