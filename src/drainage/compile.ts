import { type FlowOrder, flowOrder } from '../algorithms/index.ts';
import { divideShares, type Link, linksByStart, type SiteMap, type Structure, type Zone } from '../site-map/index.ts';
import { holdsOf } from './holds.ts';

/** A flow order with what a pass needs to carry oil along it. */
export interface Flow {
  order: FlowOrder;
  /** For each edge position of `order`: the part of what leaves the edge's start that enters its end. */
  share: Float64Array;
  /** For each place of `order`: the fraction of the oil entering it that stays there; 0 for zones. */
  holds: Float64Array;
}

/** The yard as a graph laid out for passes. Nodes are the zones, then the structures, in the map's order. */
export interface Drainage extends Flow {
  map: SiteMap;
  /** For each edge position of `order`: the part of the water that leaves the edge's start this way, inserts aside. */
  waterShare: Float64Array;
  /** For each edge position of `order`: its link; null for a zone's own ground. */
  linkAt: (Link | null)[];
  /** Node number of each id. */
  nodeOf: ReadonlyMap<string, number>;
  /** Groups of structures that flow in a circle, as ids. */
  loops: string[][];
}

/** The zone or structure of a node. */
export function nodeItem({ map }: Drainage, node: number): Zone | Structure {
  return node < map.zones.length ? map.zones[node] : map.structures[node - map.zones.length];
}

/** Pipes lead into a structure's chamber; everything else arrives over the surface, at its inlet. */
export function arrivesOverSurface(link: Link | null): boolean {
  return link?.kind !== 'pipe';
}

/**
 * Compiles a site map into flow order, once, for every pass that follows.
 *
 * An edge's share is the map's share × what an insert in its end's inlet lets through, the latter for surface inflow
 * only: an insert acts before anything has entered the structure. Links to themselves, and links or inlets that name no structure, are left out:
 * `check` reports them. O(features).
 */
export function compileDrainage(map: SiteMap): Drainage {
  const nodeOf = new Map<string, number>();
  for (const { id } of [...map.zones, ...map.structures]) nodeOf.set(id, nodeOf.size);
  const structureOf = new Map(map.structures.map((structure) => [structure.id, structure]));

  const from: number[] = [];
  const to: number[] = [];
  const waterParts: number[] = [];
  const parts: number[] = [];
  const links: (Link | null)[] = [];
  const addEdge = (start: string, end: string, share: number, link: Link | null) => {
    const structure = structureOf.get(end);
    if (!structure) return;
    const insert = arrivesOverSurface(link) ? (structure.properties.insert?.holds ?? 0) : 0;
    from.push(nodeOf.get(start) as number);
    to.push(nodeOf.get(end) as number);
    waterParts.push(share);
    parts.push(share * (1 - insert));
    links.push(link);
  };

  for (const { id, inlets } of map.zones) for (const inlet of inlets) addEdge(id, inlet.to, inlet.share, null);
  for (const [start, ways] of linksByStart(map)) {
    const structure = structureOf.get(start);
    if (!structure) continue;
    const { shares } = divideShares(ways.map((link) => link.properties.share));
    ways.forEach((link, at) => void addEdge(start, link.to, shares[at], link));
  }

  const order = flowOrder({ nodeCount: nodeOf.size, from: Int32Array.from(from), to: Int32Array.from(to) });
  const drainage: Drainage = {
    map,
    order,
    share: Float64Array.from(order.edgeAt, (edge) => parts[edge]),
    holds: Float64Array.from(order.nodeAt, (node) =>
      node < map.zones.length ? 0 : holdsOf(map.structures[node - map.zones.length]),
    ),
    waterShare: Float64Array.from(order.edgeAt, (edge) => waterParts[edge]),
    linkAt: Array.from(order.edgeAt, (edge) => links[edge]),
    nodeOf,
    loops: [],
  };
  drainage.loops = order.loops.map(({ first, end }) =>
    Array.from(order.nodeAt.subarray(first, end), (node) => nodeItem(drainage, node).id),
  );
  return drainage;
}
