import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type FlowOrder, flowOrder } from '../../src/algorithms/index.ts';

const graphs = fc.integer({ min: 1, max: 25 }).chain((nodeCount) =>
  fc.record({
    nodeCount: fc.constant(nodeCount),
    edges: fc.array(fc.tuple(fc.nat(nodeCount - 1), fc.nat(nodeCount - 1)), { maxLength: 60 }),
  }),
);

function order({ nodeCount, edges }: { nodeCount: number; edges: [number, number][] }): FlowOrder {
  return flowOrder({
    nodeCount,
    from: Int32Array.from(edges, ([from]) => from),
    to: Int32Array.from(edges, ([, to]) => to),
  });
}

/** Which nodes can be reached from which, by repeated squaring of nothing: plain closure. */
function closure({ nodeCount, edges }: { nodeCount: number; edges: [number, number][] }): boolean[][] {
  const reach = Array.from({ length: nodeCount }, (_, a) => Array.from({ length: nodeCount }, (__, b) => a === b));
  for (const [from, to] of edges) reach[from][to] = true;
  for (let via = 0; via < nodeCount; via++)
    for (let a = 0; a < nodeCount; a++)
      for (let b = 0; b < nodeCount; b++) reach[a][b] ||= reach[a][via] && reach[via][b];
  return reach;
}

describe('flow order', () => {
  test('every node has one place, every edge stands once, and only edges inside a loop point back', () => {
    fc.assert(
      fc.property(graphs, (graph) => {
        const { nodeAt, indexOf, rows, targets, edgeAt, loops } = order(graph);
        expect([...nodeAt].sort((a, b) => a - b)).toEqual([...Array(graph.nodeCount).keys()]);
        nodeAt.forEach((node, place) => void expect(indexOf[node]).toBe(place));
        expect([...edgeAt].sort((a, b) => a - b)).toEqual([...graph.edges.keys()]);
        // A row for each place, and the end of the last.
        expect([rows.length, rows[0], rows.at(-1)]).toEqual([graph.nodeCount + 1, 0, graph.edges.length]);
        const loopOf = (place: number) => loops.findIndex(({ first, end }) => first <= place && place < end);
        for (let place = 0; place < graph.nodeCount; place++) {
          for (let at = rows[place]; at < rows[place + 1]; at++) {
            expect(graph.edges[edgeAt[at]]).toEqual([nodeAt[place], nodeAt[targets[at]]]);
            if (targets[at] < place) expect(loopOf(targets[at])).toBe(loopOf(place));
          }
        }
      }),
      { seed: 11, numRuns: 400 },
    );
  });

  test('loops are exactly the groups of nodes that reach one another', () => {
    fc.assert(
      fc.property(graphs, (graph) => {
        const { nodeAt, loops } = order(graph);
        const reach = closure(graph);
        const groupOf = (node: number) =>
          reach[node]
            .map((there, other) => there && reach[other][node])
            .flatMap((same, other) => (same ? [other] : []));
        const expected = new Set(
          [...Array(graph.nodeCount).keys()]
            .map((node) => groupOf(node))
            .filter((group) => group.length > 1)
            .map((group) => group.join()),
        );
        const found = loops.map(({ first, end }) => [...nodeAt.subarray(first, end)].sort((a, b) => a - b).join());
        expect(new Set(found)).toEqual(expected);
        // From low to high: passes go along them as they go along the places.
        for (let at = 1; at < loops.length; at++) expect(loops[at].first).toBeGreaterThanOrEqual(loops[at - 1].end);
        expect(found).toHaveLength(expected.size);
      }),
      { seed: 12, numRuns: 400 },
    );
  });

  test('a chain of a million nodes and a circle of a million nodes do not overflow the stack', () => {
    const nodeCount = 1_000_000;
    const from = Int32Array.from({ length: nodeCount }, (_, node) => node);
    const to = Int32Array.from({ length: nodeCount }, (_, node) => (node + 1) % nodeCount);
    expect(flowOrder({ nodeCount, from: from.subarray(1), to: to.subarray(1) }).loops).toEqual([]);
    expect(flowOrder({ nodeCount, from, to }).loops).toEqual([{ first: 0, end: nodeCount }]);
  });
});
