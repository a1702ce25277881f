import { type EdgeRows, edgeRows } from './edge-rows.ts';

/**
 * Which nodes every way from a source must pass to get to each node, as a tree laid out in preorder: node d lies on
 * every way to n when first[d] ≤ first[n] < end[d]. Nodes that cannot be reached have first = -1.
 */
export interface Dominators {
  first: Int32Array;
  end: Int32Array;
}

/**
 * The dominator tree by the iteration of Cooper, Harvey and Kennedy (A simple, fast dominance algorithm, 2001) over
 * reverse postorder. No recursion. O(edges) on networks without loops that do not part and meet over long distances,
 * O(nodes · edges) at worst.
 */
export function dominators(
  { nodeCount, from, to }: { nodeCount: number; from: readonly number[]; to: readonly number[] },
  source: number,
): Dominators {
  const before = edgeRows(nodeCount, to);
  const order = reversePostorder(nodeCount, { ...edgeRows(nodeCount, from), to }, source);
  const rank = new Int32Array(nodeCount).fill(-1);
  order.forEach((node, at) => {
    rank[node] = at;
  });
  // By rank, so that a node's parent always has a lower number.
  const parent = new Int32Array(order.length).fill(-1);
  parent[0] = 0;
  const meet = (a: number, b: number) => {
    while (a !== b) {
      while (a > b) a = parent[a];
      while (b > a) b = parent[b];
    }
    return a;
  };
  for (let isMoving = true; isMoving; ) {
    isMoving = false;
    for (let at = 1; at < order.length; at++) {
      let found = -1;
      for (let slot = before.rows[order[at]]; slot < before.rows[order[at] + 1]; slot++) {
        const above = rank[from[before.edges[slot]]];
        if (above < 0 || parent[above] < 0) continue;
        found = found < 0 ? above : meet(found, above);
      }
      if (found !== parent[at]) {
        parent[at] = found;
        isMoving = true;
      }
    }
  }
  return inPreorder(nodeCount, order, parent);
}

function reversePostorder(
  nodeCount: number,
  { rows, edges, to }: EdgeRows & { to: readonly number[] },
  source: number,
): Int32Array {
  const slot = rows.slice(0, nodeCount);
  const met = new Uint8Array(nodeCount);
  const stack = [source];
  const postorder: number[] = [];
  met[source] = 1;
  while (stack.length > 0) {
    const node = stack[stack.length - 1];
    if (slot[node] === rows[node + 1]) {
      postorder.push(node);
      stack.pop();
      continue;
    }
    const head = to[edges[slot[node]++]];
    if (met[head] === 0) {
      met[head] = 1;
      stack.push(head);
    }
  }
  return Int32Array.from(postorder).reverse();
}

function inPreorder(nodeCount: number, order: Int32Array, parent: Int32Array): Dominators {
  // Sizes add up from the leaves; then every child starts where the one before it ended.
  const size = new Int32Array(order.length).fill(1);
  for (let at = order.length - 1; at > 0; at--) size[parent[at]] += size[at];
  const start = new Int32Array(order.length);
  const free = new Int32Array(order.length).fill(1);
  for (let at = 1; at < order.length; at++) {
    start[at] = start[parent[at]] + free[parent[at]];
    free[parent[at]] += size[at];
  }
  const first = new Int32Array(nodeCount).fill(-1);
  const end = new Int32Array(nodeCount).fill(-1);
  order.forEach((node, at) => {
    first[node] = start[at];
    end[node] = start[at] + size[at];
  });
  return { first, end };
}
