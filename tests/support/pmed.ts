/**
 * An OR-Library p-median file: "nodes edges p", then edges "i j cost", undirected; a repeated edge OVERWRITES the earlier
 * cost. Distances are shortest paths between all nodes (Floyd and Warshall).
 */
export function readMedianFile(text: string): { distance: number[][]; count: number } {
  const numbers = text.trim().split(/\s+/).map(Number);
  const [nodes, edges, count] = numbers;
  const distance = Array.from({ length: nodes }, (_, at) =>
    Array.from({ length: nodes }, (__, other) => (at === other ? 0 : Number.POSITIVE_INFINITY)),
  );
  for (let edge = 0; edge < edges; edge++) {
    const [i, j, cost] = numbers.slice(3 + 3 * edge, 6 + 3 * edge);
    distance[i - 1][j - 1] = cost;
    distance[j - 1][i - 1] = cost;
  }
  for (let via = 0; via < nodes; via++)
    for (let i = 0; i < nodes; i++)
      for (let j = 0; j < nodes; j++) distance[i][j] = Math.min(distance[i][j], distance[i][via] + distance[via][j]);
  return { distance, count };
}
