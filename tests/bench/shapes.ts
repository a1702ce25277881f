import { seededRandom } from '../../src/algorithms/index.ts';

/** A directed graph as an edge list; every edge leads from a lower node to a higher one, the last node is the outfall. */
export interface Shape {
  nodeCount: number;
  from: Int32Array;
  to: Int32Array;
}

function build(nodeCount: number, edgesPerNode: number, headOf: (node: number, edge: number) => number): Shape {
  const size = (nodeCount - 1) * edgesPerNode;
  const [from, to] = [new Int32Array(size), new Int32Array(size)];
  for (let node = 0, at = 0; node < nodeCount - 1; node++) {
    for (let edge = 0; edge < edgesPerNode; edge++, at++) {
      from[at] = node;
      to[at] = headOf(node, edge);
    }
  }
  return { nodeCount, from, to };
}

const WIDTH = 50;

/** One long sewer; a sewer tree that merges at random; and a mesh in which every structure leads on to three others. */
export const shapes: Record<string, (nodeCount: number) => Shape> = {
  chain: (nodeCount) => build(nodeCount, 1, (node) => node + 1),
  tree: (nodeCount) => {
    const random = seededRandom(1);
    return build(
      nodeCount,
      1,
      (node) => node + 1 + Math.floor(random.uniform() * Math.min(WIDTH, nodeCount - node - 1)),
    );
  },
  merges: (nodeCount) => {
    const random = seededRandom(2);
    return build(
      nodeCount,
      3,
      (node) => node + 1 + Math.floor(random.uniform() * Math.min(WIDTH, nodeCount - node - 1)),
    );
  },
};
