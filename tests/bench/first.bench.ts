import { MultiDirectedGraph } from 'graphology';
import { bfsFromNode } from 'graphology-traversal';
import { flowOrder, nodeNumber } from '../../src/algorithms/index.ts';
import { type Flow, upstreamOf } from '../../src/drainage/index.ts';
import { growthExponent, measure } from './measure.ts';
import { type Shape, shapes } from './shapes.ts';

const SIZES = [1_000, 100_000, 1_000_000];

/** The least that any pass over a graph of this size can do: read every edge once and add it up. */
function barePass({ order, share }: Flow): number {
  const { nodeCount, rows, targets } = order;
  const sums = new Float64Array(nodeCount);
  sums[nodeCount - 1] = 1;
  for (let place = nodeCount - 2; place >= 0; place--) {
    let sum = 0;
    for (let edge = rows[place]; edge < rows[place + 1]; edge++) sum += share[edge] * sums[targets[edge]];
    sums[place] = sum;
  }
  return sums[0];
}

function toGraphology({ nodeCount, from, to }: Shape): MultiDirectedGraph {
  const graph = new MultiDirectedGraph();
  for (let node = 0; node < nodeCount; node++) graph.addNode(node);
  for (let edge = 0; edge < from.length; edge++) graph.addDirectedEdge(from[edge], to[edge]);
  return graph;
}

function measureShape(shape: Shape) {
  const order = flowOrder(shape);
  const flow: Flow = {
    order,
    share: Float64Array.from(order.edgeAt, () => 0.3),
    holds: new Float64Array(shape.nodeCount).fill(0.1),
  };
  const target = order.indexOf[nodeNumber(shape.nodeCount - 1)];
  const bare = measure(() => barePass(flow));
  const compile = measure(() => flowOrder(shape).rows.length);
  const reachAndDelivery = measure(() => upstreamOf(flow, target).delivered[0]);
  const most = shape.nodeCount >= 1_000_000 ? 1 : 5;
  let graph = toGraphology(shape);
  const build = measure(
    () => {
      graph = toGraphology(shape);
      return graph.order;
    },
    { most },
  );
  const walk = measure(
    () => {
      let met = 0;
      bfsFromNode(graph, String(shape.nodeCount - 1), () => void met++, { mode: 'inbound' });
      return met;
    },
    { most },
  );
  return { bare, compile, reachAndDelivery, build, walk };
}

/** Compile, reach and delivery on chains, trees and meshes, as ratios to a bare pass and to graphology, and how they grow. */
export function run(print: (line: string) => void): void {
  print('Ratios of least times within this run. Bare = one pass over typed arrays of the same size.');
  print(
    'graph     nodes      edges  compile/bare  reach+delivery/bare  graphology build/compile  graphology walk/reach+delivery',
  );
  for (const [name, make] of Object.entries(shapes)) {
    const rows = SIZES.map((size) => {
      const shape = make(size);
      const times = measureShape(shape);
      const ratio = (a: keyof typeof times, b: keyof typeof times) => (times[a].least / times[b].least).toFixed(1);
      print(
        [
          name.padEnd(7),
          String(size).padStart(8),
          String(shape.from.length).padStart(10),
          ratio('compile', 'bare').padStart(13),
          ratio('reachAndDelivery', 'bare').padStart(20),
          ratio('build', 'compile').padStart(25),
          ratio('walk', 'reachAndDelivery').padStart(31),
        ].join(' '),
      );
      return { size, times };
    });
    // The smallest size is too quick for the clock to tell growth from start-up.
    const grow = (key: keyof ReturnType<typeof measureShape>) =>
      growthExponent(rows.slice(1).map(({ size, times }) => ({ size, ms: times[key].least }))).toFixed(2);
    print(
      `${name}: growth from 1e5 to 1e6 nodes: compile n^${grow('compile')}, reach+delivery n^${grow('reachAndDelivery')}, bare n^${grow('bare')}, graphology build n^${grow('build')}, walk n^${grow('walk')}`,
    );
  }
}
