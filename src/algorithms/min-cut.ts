/**
 * A network whose edges carry at most their capacity: 0 or more, whole numbers for an exact answer, Infinity allowed. The
 * three lists go edge by edge; nodes are 0 to nodeCount − 1. Parallel edges and edges from a node to itself are allowed.
 * Nothing of it is checked.
 */
export interface Network {
  nodeCount: number;
  from: readonly number[];
  to: readonly number[];
  capacity: readonly number[];
}

/**
 * A cut with its own proof: `flow` obeys every capacity, is balanced at every node, and its value equals the cut's. No
 * flow can be worth more than any cut, since all of it has to pass through (Ford and Fulkerson, Maximal flow through a
 * network, 1956); so two that are equal are both the best, and a reader of the answer can check it by adding up.
 */
export interface MinCut {
  /** Sum of the capacities of the cut edges; Infinity when source and sink are joined by edges of no limit. */
  value: number;
  /**
   * 1 for each node on the source's side: the smallest such side among all minimum cuts, so the cut next to the source.
   * Cut edges lead from a 1 to a 0. Of no meaning when `value` is Infinity: then the sink is on it.
   */
  sourceSide: Uint8Array;
  /** Flow on each edge, in input order: the certificate. Of no meaning when `value` is Infinity. */
  flow: Float64Array;
}

/**
 * Minimum cut between `source` and `sink`, by Dinic's maximum flow (1970): breadth-first levels, then a blocking flow
 * found by a depth-first walk that remembers where it was. No recursion. O(nodes² · edges) at worst; near linear on
 * drainage networks, which are almost trees. Whole-number capacities below 2⁵³ together are handled exactly; with others the
 * cut and its flow agree to rounding only. Where no way leads to the sink the value is 0; it is Infinity where a way without
 * any limit does, or where source and sink are one node.
 *
 * After a blocking flow every way with room left is longer than the shortest was, so there are fewer rounds than nodes. When
 * the sink can no longer be reached, all edges out of what can be are full and all edges into it are empty: the flow is worth
 * what these edges hold, which is the proof. What is reached then is the same for every greatest flow: the smallest side.
 *
 * @example
 * import { minCut } from 'oilshed/algorithms';
 * minCut({ nodeCount: 3, from: [0, 1], to: [1, 2], capacity: [5, 3] }, 0, 2).value; // → 3
 */
export function minCut(network: Network, source: number, sink: number): MinCut {
  const residual = residualNetwork(network);
  let value = 0;
  while (value < Number.POSITIVE_INFINITY && layer(residual, source)[sink] >= 0) {
    value += blockingFlow(residual, source, sink);
  }
  const { left } = residual;
  return {
    value,
    sourceSide: Uint8Array.from(layer(residual, source), (level) => (level >= 0 ? 1 : 0)),
    flow: Float64Array.from(network.capacity, (_, edge) => left[2 * edge + 1]),
  };
}

/**
 * Edge e of the input is arc 2e, its way back is arc 2e + 1: arc ^ 1 turns one into the other. What is left on the two
 * always adds up to the capacity, and what is left on the way back is the flow: to send some back is to take it off the
 * edge. Arcs that leave node n are arcs[rows[n]] to arcs[rows[n + 1] − 1], each with its end in `head`.
 */
interface Residual {
  rows: Int32Array;
  arcs: Int32Array;
  head: Int32Array;
  left: Float64Array;
  level: Int32Array;
}

function residualNetwork({ nodeCount, from, to, capacity }: Network): Residual {
  const arcCount = 2 * from.length;
  const head = new Int32Array(arcCount);
  const left = new Float64Array(arcCount);
  const rows = new Int32Array(nodeCount + 1);
  for (let edge = 0; edge < from.length; edge++) {
    head[2 * edge] = to[edge];
    head[2 * edge + 1] = from[edge];
    left[2 * edge] = capacity[edge];
    rows[from[edge] + 1]++;
    rows[to[edge] + 1]++;
  }
  for (let node = 0; node < nodeCount; node++) rows[node + 1] += rows[node];
  const next = rows.slice(0, nodeCount);
  const arcs = new Int32Array(arcCount);
  for (let arc = 0; arc < arcCount; arc++) arcs[next[head[arc ^ 1]]++] = arc;
  return { rows, arcs, head, left, level: new Int32Array(nodeCount) };
}

/** Least number of arcs with room from the source to each node, -1 where there is no way. */
function layer({ rows, arcs, head, left, level }: Residual, source: number): Int32Array {
  level.fill(-1);
  level[source] = 0;
  const queue = [source];
  for (let at = 0; at < queue.length; at++) {
    const node = queue[at];
    for (let slot = rows[node]; slot < rows[node + 1]; slot++) {
      const arc = arcs[slot];
      if (left[arc] > 0 && level[head[arc]] < 0) {
        level[head[arc]] = level[node] + 1;
        queue.push(head[arc]);
      }
    }
  }
  return level;
}

/**
 * Sends flow along ways that go up one level at each step until every such way has a full arc; comes back with how much. A
 * node's cursor never goes back: an arc it has passed is full, goes up no level, or leads to a node with no way on, and stays so
 * within a round, in which flow only goes up the levels. Each sending fills an arc and each turning back passes one, so the walk ends.
 * O(nodes · edges).
 */
function blockingFlow({ rows, arcs, head, left, level }: Residual, source: number, sink: number): number {
  const cursor = rows.slice(0, rows.length - 1);
  const path: number[] = [];
  let [total, node] = [0, source];
  for (;;) {
    if (node === sink) {
      const amount = path.reduce((least, arc) => Math.min(least, left[arc]), Number.POSITIVE_INFINITY);
      total += amount;
      if (amount === Number.POSITIVE_INFINITY) return total;
      for (const arc of path) {
        left[arc] -= amount;
        left[arc ^ 1] += amount;
      }
      // Walk on from the first arc that is now full. There is one: the least had exactly `amount` left, so it has exactly
      // 0 now.
      path.length = path.findIndex((arc) => left[arc] === 0);
      node = path.length > 0 ? head[path[path.length - 1]] : source;
      continue;
    }
    let arc = -1;
    for (; cursor[node] < rows[node + 1]; cursor[node]++) {
      const candidate = arcs[cursor[node]];
      if (left[candidate] > 0 && level[head[candidate]] === level[node] + 1) {
        arc = candidate;
        break;
      }
    }
    if (arc >= 0) {
      path.push(arc);
      node = head[arc];
    } else if (node === source) {
      return total;
    } else {
      const back = path[path.length - 1];
      path.length--;
      node = head[back ^ 1];
      cursor[node]++;
    }
  }
}
