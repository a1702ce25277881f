import Flatbush from 'flatbush';
import { nearestOnSegment } from '../../algorithms/index.ts';
import type { Point } from '../measure.ts';

/** A place on a line at which a node stands: which segment of it, and how far along that, 0 to 1. */
export interface Split {
  line: number;
  segment: number;
  along: number;
  node: number;
}

/** A place that may lie on the middle of a line, and how near it must be for that, in metres. */
export interface Site {
  node: number;
  point: Point;
  withinM: number;
}

/**
 * The places at which nodes stand on the middle of lines. A line that begins or ends at a node is not split there, and
 * no line is split twice by one node: the nearest place counts. `nodeOfEnd` is as in `Joints`.
 * O((positions + sites) · log(positions)).
 */
export function splitsAt(
  sites: readonly Site[],
  { nodeOfEnd, paths }: { nodeOfEnd: Int32Array; paths: readonly (readonly Point[])[] },
): Split[] {
  const best = new Map<string, Split & { awayM: number }>();
  const segmentsNear = indexSegments(paths);
  for (const { node, point, withinM } of sites) {
    for (const { line, segment } of segmentsNear(point, withinM)) {
      if (nodeOfEnd[2 * line] === node || nodeOfEnd[2 * line + 1] === node) continue;
      const { along, distance: awayM } = nearestOnSegment(point, paths[line][segment], paths[line][segment + 1]);
      const key = `${line} ${node}`;
      if (awayM <= withinM && awayM < (best.get(key)?.awayM ?? Number.POSITIVE_INFINITY)) {
        best.set(key, { line, segment, along, node, awayM });
      }
    }
  }
  return [...best.values()].map(({ awayM: _, ...split }) => split);
}

/** Finds the segments whose box comes within a distance of a point. */
function indexSegments(paths: readonly (readonly Point[])[]) {
  const count = paths.reduce((sum, path) => sum + path.length - 1, 0);
  if (count === 0) return () => [];
  const index = new Flatbush(count);
  const lines = new Int32Array(count);
  const firsts = new Int32Array(paths.length);
  let at = 0;
  for (const [line, path] of paths.entries()) {
    firsts[line] = at;
    for (let segment = 0; segment + 1 < path.length; segment++) {
      const [[ax, ay], [bx, by]] = [path[segment], path[segment + 1]];
      index.add(Math.min(ax, bx), Math.min(ay, by), Math.max(ax, bx), Math.max(ay, by));
      lines[at++] = line;
    }
  }
  index.finish();
  return ([x, y]: Point, withinM: number) =>
    index
      .search(x - withinM, y - withinM, x + withinM, y + withinM)
      .map((found) => ({ line: lines[found], segment: found - firsts[lines[found]] }));
}
