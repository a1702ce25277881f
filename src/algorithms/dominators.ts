import { type EdgeRows, edgeRows } from './edge-rows.ts';

/**
 * Which nodes every way from a source must pass to get to each node, as a tree laid out in preorder: node d lies on every
 * way to n when first[d] ≤ first[n] < end[d]. A node lies on every way to itself, the source on all. Nodes that cannot be
 * reached have first = end = -1, so that the test says no for them, whichever of the two they are.
 */
export interface Dominators {
  first: Int32Array;
  end: Int32Array;
}

/**
 * The dominator tree by the iteration of Cooper, Harvey and Kennedy (A simple, fast dominance algorithm, 2001) over
 * reverse postorder. No recursion. O(edges) on networks without loops that do not part and meet over long distances,
 * O(nodes · edges) at worst. Nodes are 0 to nodeCount − 1, `source` one of them; the lists go edge by edge. Parallel
 * edges, loops and edges from a node to itself are allowed. Nothing is checked.
 *
 * @example
 * import { dominators } from 'oilshed/algorithms';
 * const { first, end } = dominators({ nodeCount: 5, from: [0, 1, 1, 2, 3], to: [1, 2, 3, 4, 4] }, 0);
 * const isOnEveryWay = (d: number, n: number) => first[d] <= first[n] && first[n] < end[d];
 * [isOnEveryWay(1, 4), isOnEveryWay(2, 4)]; // → [true, false]
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
  // Where the ways up from two nodes join. The one of higher rank goes up, so both stay at or below the join, and rank 0
  // ends it.
  const meet = (a: number, b: number) => {
    while (a !== b) {
      while (a > b) a = parent[a];
      while (b > a) b = parent[b];
    }
    return a;
  };
  // What lies on every way to a node, itself aside, is what lies on every way to each node before it: so its parent is
  // where all of those meet in the tree. In the first round one of them at least has a parent, the one it was first met
  // from. Those without one yet, at the start of a way back, are passed over, which puts the parent too low and never too
  // high. Later rounds move parents up only, and each can rise no further than the source; so the rounds end, with the
  // tree. Without loops the first finds it, and the second sees that nothing moves.
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

/**
 * The nodes that can be reached, each before all it leads to but for ways back in a loop; the source first. A stack of
 * its own, since a chain of a million nodes would overflow the engine's.
 */
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

/**
 * The tree as ranges: a node's range holds its own number, and after it the ranges of its children, side by side.
 * O(nodes).
 */
function inPreorder(nodeCount: number, order: Int32Array, parent: Int32Array): Dominators {
  // Sizes add up from the leaves; then every child starts where the one before it ended. A parent's rank is lower than its
  // children's, so one pass down the ranks has each size whole before it is used, and one pass up has each start.
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
