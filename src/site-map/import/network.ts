import { metreFrame, type Point } from '../measure.ts';
import type { Problem } from '../problem.ts';
import type { Feature, Position } from '../schema.ts';
import { Ids, idFor } from './ids.ts';
import { findJoints, type Joints } from './joints.ts';
import { distanceM } from './near.ts';
import { joinedNodes, type Node, PASSING_OUTFALL_HOLDS, type PlacedLink } from './nodes.ts';
import { networkNotes } from './notes.ts';
import { piecesOf } from './pieces.ts';
import type { Split } from './splits.ts';
import type { TakenLine, Taking } from './take.ts';

export interface Network {
  nodes: Node[];
  features: Feature[];
  ids: Ids;
  counts: Record<string, number>;
  problems: Problem[];
}

/**
 * Joins what was taken to a network of structures and links, with a note for every guess. `snapM` in metres, above 0.
 * O((points + positions) · log).
 */
export function buildNetwork(taking: Taking, snapM: number): Network {
  const { points, lines, middle } = taking;
  const frame = metreFrame(middle ?? [0, 0]);
  const structures = points.map(({ position }): Point => frame.toMetres(position));
  const paths = lines.map(({ path }) => path.map((each): Point => frame.toMetres(each)));
  const joints = findJoints({ structures, paths, snapM });

  const ends = lines.flatMap(({ path }) => [path[0], path[path.length - 1]]);
  const positions = [...points.map(({ position }) => position), ...joints.made.map((end) => ends[end])];
  const ids = new Ids();
  const structureIds = points.map(({ kind, source, part }) => ids.claim(idFor(kind, source, [part])));
  const links = placeLinks(lines, { joints, positions, ids });
  const nodes = joinedNodes({ points, structureIds, positions, links, ids });
  const movedM = endMoves(joints, { structures, paths });
  return {
    nodes,
    features: [...nodes.map(nodeFeature), ...links.map((link) => linkFeature(link, nodes))],
    ids,
    counts: countJoints(joints, nodes, links),
    problems: networkNotes({ nodes, links, movedM, snapM }),
  };
}

function placeLinks(
  lines: readonly TakenLine[],
  { joints, positions, ids }: { joints: Joints; positions: readonly Position[]; ids: Ids },
): PlacedLink[] {
  const splitsOf = new Map<number, Split[]>();
  for (const split of joints.splits) splitsOf.set(split.line, [...(splitsOf.get(split.line) ?? []), split]);
  return lines.flatMap((line, at) => {
    const [from, to] = [joints.nodeOfEnd[2 * at], joints.nodeOfEnd[2 * at + 1]];
    const pieces = piecesOf(line.path, { from, to, splits: splitsOf.get(at) ?? [] }, (node) => positions[node]);
    return pieces.map((piece, step) => {
      const id = ids.claim(idFor(line.kind, line.source, [line.part, pieces.length > 1 ? step + 1 : null]));
      const startEnd = step === 0 ? 2 * at : null;
      return { ...piece, id, line, startEnd, finishEnd: step === pieces.length - 1 ? 2 * at + 1 : null };
    });
  });
}

/** How far each line end is moved onto its node, in metres. */
function endMoves(
  { nodeOfEnd, made }: Joints,
  { structures, paths }: { structures: readonly Point[]; paths: readonly (readonly Point[])[] },
): Float64Array {
  const ends = paths.flatMap((path) => [path[0], path[path.length - 1]]);
  const nodes = [...structures, ...made.map((end) => ends[end])];
  return Float64Array.from(ends, (end, at) => distanceM(end, nodes[nodeOfEnd[at]]));
}

/** The kind stands beside properties that every kind of structure may have, which TypeScript cannot follow through a union. */
function nodeFeature({ id, kind, position, point, role, outs }: Node): Feature {
  const holds = kind === 'outfall' && outs.length > 0 ? { holds: PASSING_OUTFALL_HOLDS } : {};
  const source = point ? sourceOf(point) : { made: role };
  const properties = { kind, ...holds, source };
  const coordinates = point ? position : position.slice(0, 2);
  return { type: 'Feature', id, properties, geometry: { type: 'Point', coordinates } } as Feature;
}

function linkFeature({ id, from, to, path, line }: PlacedLink, nodes: readonly Node[]): Feature {
  const properties = { kind: line.kind, from: nodes[from].id, to: nodes[to].id, source: sourceOf(line) };
  return { type: 'Feature', id, properties, geometry: { type: 'LineString', coordinates: path } } as Feature;
}

/** All that the source says of a feature, in one member, so that its names cannot be taken for ours. */
function sourceOf({ source, part }: Pick<TakenLine, 'source' | 'part'>): Record<string, unknown> {
  const { layer, id, place, properties } = source;
  return { layer, ...(id === null ? { place } : { id }), ...(part === null ? {} : { part }), properties };
}

function countJoints(
  { meetingOfEnd, made }: Joints,
  nodes: readonly Node[],
  links: readonly PlacedLink[],
): Record<string, number> {
  const ends = (meeting: string) => meetingOfEnd.filter((each) => each === meeting).length;
  return {
    structuresMade: made.length,
    structuresWithoutLink: nodes.filter(({ role }) => role === 'alone').length,
    lineEnds: meetingOfEnd.length,
    endsAtStructure: ends('structure'),
    endsAtOtherEnd: ends('end'),
    endsAtMiddle: ends('middle'),
    endsFree: ends('free'),
    linesSplit: links.filter(({ startEnd, finishEnd }) => startEnd !== null && finishEnd === null).length,
  };
}
