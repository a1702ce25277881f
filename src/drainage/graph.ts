import { MultiDirectedGraph } from 'graphology';
import { bfsFromNode } from 'graphology-traversal';
import { FIRST_PLACE, type Place } from '../algorithms/index.ts';
import { type Drainage, itemAt } from './compile.ts';

export interface GraphNode {
  name: string;
  kind: string;
}

export interface GraphEdge {
  /** Id of the link, null for a zone's own ground. */
  link: string | null;
  share: number;
}

export type DrainageGraph = MultiDirectedGraph<GraphNode, GraphEdge>;

/**
 * The yard as a graphology graph, made on demand for walking, export and tests; passes use the compiled order, which
 * is some fifty times faster to build on large maps (`npm run bench -- first`). Parallel links are kept, so it is a multigraph. O(nodes + edges).
 */
export function toGraph(drainage: Drainage): DrainageGraph {
  const { order, share, linkAt, nodeOf } = drainage;
  const graph: DrainageGraph = new MultiDirectedGraph();
  for (const [id, node] of nodeOf) {
    const item = itemAt(drainage, order.placeOf[node]);
    graph.addNode(id, { name: item.name, kind: 'kind' in item ? item.kind : 'zone' });
  }
  const idAt = (place: Place) => itemAt(drainage, place).id;
  for (let place = FIRST_PLACE; place < order.nodeCount; place++) {
    for (let edge = order.rows[place]; edge < order.rows[place + 1]; edge++) {
      graph.addDirectedEdge(idAt(place), idAt(order.targets[edge]), {
        link: linkAt[edge]?.id ?? null,
        share: share[edge],
      });
    }
  }
  return graph;
}

/** What lies downstream of a zone or structure ("out") or upstream of it ("in"), itself included, nearest first. */
export function walk(graph: DrainageGraph, start: string, direction: 'out' | 'in'): string[] {
  const met: string[] = [];
  bfsFromNode(graph, start, (id) => void met.push(id), { mode: direction === 'out' ? 'outbound' : 'inbound' });
  return met;
}
