import { type FlowIndex, type FlowOrder, flowOrder, type NodeNumber, nodeNumber } from '../algorithms/index.ts';
import { divideShares, type Link, linksByStart, type SiteMap, type Structure, type Zone } from '../site-map/index.ts';
import { holdsOf } from './holds.ts';

/**
 * A flow order with what a pass needs to carry oil along it. Shares and holds are from 0 to 1, and the shares of a
 * place's edges add up to 1 at most: what they leave is caught by inserts or leaves the map.
 */
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
  nodeOf: ReadonlyMap<string, NodeNumber>;
  /** Groups of structures that flow in a circle, as ids, in flow order. A zone is in none, since nothing leads to a zone. */
  loops: string[][];
}

/**
 * The zone or structure at a place. Zones have the lower node numbers; their places stand anywhere before what they drain
 * to. O(1).
 */
export function itemAt({ map, order }: Drainage, index: FlowIndex): Zone | Structure {
  const node = order.nodeAt[index];
  return node < map.zones.length ? map.zones[node] : map.structures[node - map.zones.length];
}

/** The structure at a place that links lead to; throws where a zone stands, which none does. */
export function structureAt({ map, order }: Drainage, index: FlowIndex): Structure {
  const node = order.nodeAt[index];
  if (node < map.zones.length) throw new Error(`place ${index} is the zone ${map.zones[node].id}, not a structure`);
  return map.structures[node - map.zones.length];
}

/** The place of an id, undefined where the map has no such zone or structure. */
export function findFlowIndex({ order, nodeOf }: Drainage, id: string): FlowIndex | undefined {
  const node = nodeOf.get(id);
  return node === undefined ? undefined : order.indexOf[node];
}

/** The place of a zone or structure of the map; throws for an id that is not on it. */
export function flowIndexOf(drainage: Drainage, id: string): FlowIndex {
  const index = findFlowIndex(drainage, id);
  if (index === undefined) throw new Error(`${JSON.stringify(id)} is no zone or structure of this map`);
  return index;
}

/** Pipes lead into a structure's chamber; everything else arrives over the surface, at its inlet. */
export function arrivesOverSurface(link: Link | null): boolean {
  return link?.kind !== 'pipe';
}

/**
 * Compiles a site map into flow order, once, for every pass that follows.
 *
 * An edge's share is the map's share × what an insert in its end's inlet lets through, the latter for surface inflow
 * only: an insert acts before anything has entered the structure. Links to themselves, and links or inlets that name no
 * structure, are left out: `check` reports them. O(features). Ids have to be used once, as they are in a map that was
 * read. It never throws: a map with errors is compiled for what can be, and answers about it are as good as that.
 *
 * A link that is left out for its end still takes its share: what is sent there is not sent elsewhere, but leaves the
 * map.
 */
export function compileDrainage(map: SiteMap): Drainage {
  const nodeOf = new Map<string, NodeNumber>();
  for (const { id } of [...map.zones, ...map.structures]) nodeOf.set(id, nodeNumber(nodeOf.size));
  const structureOf = new Map(map.structures.map((structure) => [structure.id, structure]));

  const from: number[] = [];
  const to: number[] = [];
  const waterParts: number[] = [];
  const parts: number[] = [];
  const links: (Link | null)[] = [];
  const addEdge = (start: string, end: string, share: number, link: Link | null) => {
    const [structure, startNode, endNode] = [structureOf.get(end), nodeOf.get(start), nodeOf.get(end)];
    if (!structure || startNode === undefined || endNode === undefined) return;
    const insert = arrivesOverSurface(link) ? (structure.properties.insert?.holds ?? 0) : 0;
    from.push(startNode);
    to.push(endNode);
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
    indicesFrom(first, end).map((index) => itemAt(drainage, index).id),
  );
  return drainage;
}

/** The places from one up to, but not with, another; none where the end is not above the first. O(places). */
export function indicesFrom(first: FlowIndex, end: number): FlowIndex[] {
  const indices: FlowIndex[] = [];
  for (let index = first; index < end; index++) indices.push(index);
  return indices;
}
