import { edgeRows } from './edge-rows.ts';

declare const brand: unique symbol;
/** A number of a node, as the graph was given. Not to be taken for a place: the compiler keeps the two apart. */
export type NodeNumber = number & { readonly [brand]: 'node' };
/** A place in the flow order. */
export type FlowIndex = number & { readonly [brand]: 'place' };
/** Numbers of one kind, looked up by numbers of another. Any other number still reads one, as a number of no kind. */
export type NumbersBy<Key extends number, Value extends number> = Int32Array & Readonly<Record<Key, Value>>;

const flowIndex = (at: number) => at as FlowIndex;

/** Where passes over the order begin: `for (let place = FIRST_PLACE; place < nodeCount; place++)`. */
export const FIRST_INDEX = flowIndex(0);

/** The number of the node that stands so far from the front of the list of nodes. */
export const nodeNumber = (at: number) => at as NodeNumber;

/** Says of what kind numbers are, which the maker of a list knows and the compiler cannot. */
export function numbersBy<Key extends number, Value extends number>(numbers: Int32Array): NumbersBy<Key, Value> {
  return numbers as NumbersBy<Key, Value>;
}

/**
 * A directed graph laid out for passes: nodes are renumbered so that every edge outside a loop points from a lower place
 * to a higher one, and edges stand in that order (compressed rows). The nodes of a strongly connected component have
 * neighbouring places, so a condensed component is a range of places.
 *
 * So a pass from the first place to the last meets everything upstream of a place before it, and one from the last to the
 * first everything downstream; only inside a loop has a pass to do more.
 */
export interface FlowOrder {
  nodeCount: number;
  /** Node at each place. */
  nodeAt: NumbersBy<FlowIndex, NodeNumber>;
  /** Place of each node. */
  indexOf: NumbersBy<NodeNumber, FlowIndex>;
  /** Edges that leave place p are rows[p] to rows[p + 1] - 1. */
  rows: Int32Array;
  /** Place to which each edge leads. */
  targets: NumbersBy<number, FlowIndex>;
  /** Index, in the input, of the edge at each position. */
  edgeAt: Int32Array;
  /**
   * Places [first, end) of every component of two or more nodes, from low to high. An edge from a node to itself makes
   * none.
   */
  loops: { first: FlowIndex; end: FlowIndex }[];
}

/** A directed graph as a list of edges: edge e leads from from[e] to to[e]. */
export interface EdgeList {
  nodeCount: number;
  /** Node numbers, 0 to nodeCount - 1. */
  from: Int32Array;
  to: Int32Array;
}

/**
 * Brings a directed graph into flow order: a topological order of its strongly connected components, found in one
 * depth-first search without recursion (Tarjan 1972), so that chains of a million nodes do not overflow the stack.
 * Parallel edges and edges from a node to itself are kept. O(nodes + edges) time and memory. Node numbers are not checked.
 * The same input gives the same order; which of several orders it is depends on how nodes and edges are numbered.
 *
 * @example
 * import { flowOrder } from 'oilshed/algorithms';
 * const { nodeAt, loops } = flowOrder({ nodeCount: 3, from: Int32Array.of(2, 1), to: Int32Array.of(1, 0) });
 * [[...nodeAt], loops]; // → [[2, 1, 0], []]
 */
export function flowOrder({ nodeCount, from, to }: EdgeList): FlowOrder {
  const edgeCount = from.length;
  const { rows: starts, edges: edgeIn } = edgeRows(nodeCount, from);
  const heads = edgeIn.map((edge) => to[edge]);

  const nodeAt = new Int32Array(nodeCount);
  const indexOfNode = new Int32Array(nodeCount);
  const loops: FlowOrder['loops'] = [];
  findComponents(
    { nodeCount, starts, heads },
    (place, node) => {
      nodeAt[place] = node;
      indexOfNode[node] = place;
    },
    (first, end) => loops.push({ first: flowIndex(first), end: flowIndex(end) }),
  );
  loops.reverse();

  const rows = new Int32Array(nodeCount + 1);
  const targets = new Int32Array(edgeCount);
  const edgeAt = new Int32Array(edgeCount);
  let position = 0;
  for (let place = 0; place < nodeCount; place++) {
    const node = nodeAt[place];
    for (let slot = starts[node]; slot < starts[node + 1]; slot++) {
      targets[position] = indexOfNode[heads[slot]];
      edgeAt[position++] = edgeIn[slot];
    }
    rows[place + 1] = position;
  }
  return {
    nodeCount,
    nodeAt: numbersBy(nodeAt),
    indexOf: numbersBy(indexOfNode),
    rows,
    targets: numbersBy(targets),
    edgeAt,
    loops,
  };
}

/**
 * Tarjan's components come out sinks first, so places are given from the last one down: when one comes out, all that it
 * leads to is out already and has higher places.
 *
 * `path` is the way from the root to where the search stands; `waiting` holds, in the order they were met, all nodes
 * whose component is not out yet, each of which has a way to a node of the path. `seenAs` numbers nodes as they are met.
 * `lowest` is the least such number of a waiting node that the search has found a way to. When all edges of a node are
 * done and its `lowest` is its own number, no way leads from it to a node that waits from before: it and all that waits
 * since are one component. Each node enters and leaves once, and each edge is looked at once, so the search ends.
 */
function findComponents(
  graph: { nodeCount: number; starts: Int32Array; heads: Int32Array },
  assign: (place: number, node: number) => void,
  loop: (first: number, end: number) => void,
): void {
  const { nodeCount, starts, heads } = graph;
  const cursor = starts.slice(0, nodeCount);
  const seenAs = new Int32Array(nodeCount); // 0 = not seen yet, -1 = already placed
  const lowest = new Int32Array(nodeCount);
  const path = new Int32Array(nodeCount);
  const waiting = new Int32Array(nodeCount);
  let [depth, waitingCount, clock, free] = [0, 0, 0, nodeCount];

  const enter = (node: number) => {
    seenAs[node] = lowest[node] = ++clock;
    path[depth++] = node;
    waiting[waitingCount++] = node;
  };

  for (let root = 0; root < nodeCount; root++) {
    if (seenAs[root] !== 0) continue;
    enter(root);
    while (depth > 0) {
      const node = path[depth - 1];
      if (cursor[node] < starts[node + 1]) {
        const head = heads[cursor[node]++];
        if (seenAs[head] === 0) enter(head);
        // An edge to a component that is out says nothing: from there no way leads back, or it would not be out.
        else if (seenAs[head] > 0 && seenAs[head] < lowest[node]) lowest[node] = seenAs[head];
        continue;
      }
      depth--;
      if (depth > 0 && lowest[node] < lowest[path[depth - 1]]) lowest[path[depth - 1]] = lowest[node];
      if (lowest[node] !== seenAs[node]) continue;
      const end = free;
      let member: number;
      do {
        member = waiting[--waitingCount];
        seenAs[member] = -1;
        assign(--free, member);
      } while (member !== node);
      if (end - free > 1) loop(free, end);
    }
  }
}
