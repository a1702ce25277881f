import type { Position } from '../schema.ts';
import type { StructureKind } from '../vocabulary.ts';
import { type Ids, madeIdFor } from './ids.ts';
import type { Piece } from './pieces.ts';
import type { TakenLine, TakenPoint } from './take.ts';

/** Fraction of passing oil that is taken to stay at an outfall that leads on: a guess, as for a catch basin. */
export const PASSING_OUTFALL_HOLDS = 0.1;

/** A piece of a source line under its id. */
export interface PlacedLink extends Piece {
  id: string;
  line: TakenLine;
  /** The line ends it starts and finishes with, as numbered in `Joints`; null where it was cut off. */
  startEnd: number | null;
  finishEnd: number | null;
}

/** What a structure of the network is to its links. */
export type Role = 'alone' | 'upper-end' | 'lower-end' | 'junction';

/** A structure of the network: taken from the source, or made where a link begins or ends and none was drawn. */
export interface Node {
  id: string;
  kind: StructureKind;
  position: Position;
  /** The source's point; null for a made structure. */
  point: TakenPoint | null;
  role: Role;
  /** The links that lead in and out. */
  ins: PlacedLink[];
  outs: PlacedLink[];
}

interface NodesInput {
  points: readonly TakenPoint[];
  structureIds: readonly string[];
  /** Where each node stands: the points first, then the made structures. */
  positions: readonly Position[];
  links: readonly PlacedLink[];
  ids: Ids;
}

/**
 * The structures with their links, the made ones with a kind: an outfall where links end and none leads on; else a
 * manhole, which holds nothing and takes nothing in over the surface. O(nodes + links).
 */
export function joinedNodes({ points, structureIds, positions, links, ids }: NodesInput): Node[] {
  const ways = positions.map((): Pick<Node, 'ins' | 'outs'> => ({ ins: [], outs: [] }));
  for (const link of links) {
    ways[link.from].outs.push(link);
    ways[link.to].ins.push(link);
  }
  const counts: Partial<Record<StructureKind, number>> = {};
  return positions.map((position, at) => {
    const role = roleOf(ways[at]);
    const point = points[at] ?? null;
    if (point) return { id: structureIds[at], kind: point.kind, position, point, role, ...ways[at] };
    const kind = role === 'lower-end' ? 'outfall' : 'manhole';
    counts[kind] = (counts[kind] ?? 0) + 1;
    return { id: ids.claim(madeIdFor(kind, counts[kind])), kind, position, point, role, ...ways[at] };
  });
}

function roleOf({ ins, outs }: Pick<Node, 'ins' | 'outs'>): Role {
  if (ins.length === 0) return outs.length === 0 ? 'alone' : 'upper-end';
  return outs.length === 0 ? 'lower-end' : 'junction';
}
