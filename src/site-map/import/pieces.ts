import type { Position } from '../schema.ts';
import type { Split } from './splits.ts';

/** A stretch of a line between two nodes. */
export interface Piece {
  from: number;
  to: number;
  path: Position[];
}

const isSame = (a: Position, b: Position) => a[0] === b[0] && a[1] === b[1];

/** Puts an end onto its structure; what the source says beyond longitude and latitude (a height) stays. */
function movedTo(end: Position, [lon, lat]: Position): Position {
  return isSame(end, [lon, lat]) ? end : [lon, lat, ...end.slice(2)];
}

/** A cut-off path without a position beside its ends that repeats them. */
function trimmed(path: Position[]): Position[] {
  if (path.length > 2 && isSame(path[0], path[1])) path.splice(1, 1);
  if (path.length > 2 && isSame(path[path.length - 2], path[path.length - 1])) path.splice(-2, 1);
  return path;
}

/**
 * Cuts a line at its splits, in the order in which they lie along it, and moves its ends onto their structures. A
 * split at the same place as the one before or as an end is passed over, for a link must have a length.
 * O(positions + splits · log(splits)).
 */
export function piecesOf(
  path: readonly Position[],
  { from, to, splits }: { from: number; to: number; splits: readonly Split[] },
  positionOf: (node: number) => Position,
): Piece[] {
  const last = path.length - 1;
  const end = movedTo(path[last], positionOf(to));
  const pieces: Piece[] = [];
  let [start, next] = [from, 1];
  let stretch = [movedTo(path[0], positionOf(from))];
  for (const { segment, node } of splits.toSorted((a, b) => a.segment + a.along - b.segment - b.along)) {
    const place = positionOf(node);
    if (next > segment && isSame(place, stretch[0])) continue;
    if (segment === last - 1 && isSame(place, end)) continue;
    pieces.push({ from: start, to: node, path: trimmed([...stretch, ...path.slice(next, segment + 1), place]) });
    [start, next, stretch] = [node, segment + 1, [place]];
  }
  const rest = [...stretch, ...path.slice(next, last), end];
  pieces.push({ from: start, to, path: splits.length > 0 ? trimmed(rest) : rest });
  return pieces;
}
