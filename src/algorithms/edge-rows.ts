/** Edges by the node they leave: those of node n are edges[rows[n]] to edges[rows[n + 1] - 1], in input order. */
export interface EdgeRows {
  rows: Int32Array;
  edges: Int32Array;
}

/**
 * Puts edges in rows by their start (compressed rows), by counting. Starts are 0 to nodeCount − 1, which is not checked.
 * O(nodes + edges).
 *
 * @example
 * import { edgeRows } from 'oilshed/algorithms';
 * const { rows, edges } = edgeRows(3, [2, 0, 2]);
 * [[...rows], [...edges]]; // → [[0, 1, 1, 3], [1, 0, 2]]
 */
export function edgeRows(nodeCount: number, from: ArrayLike<number>): EdgeRows {
  const rows = new Int32Array(nodeCount + 1);
  for (let edge = 0; edge < from.length; edge++) rows[from[edge] + 1]++;
  for (let node = 0; node < nodeCount; node++) rows[node + 1] += rows[node];
  const free = rows.slice(0, nodeCount);
  const edges = new Int32Array(from.length);
  for (let edge = 0; edge < from.length; edge++) edges[free[from[edge]]++] = edge;
  return { rows, edges };
}
