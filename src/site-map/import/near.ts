import Flatbush from 'flatbush';
import type { Point } from '../measure.ts';

export const distanceM = ([ax, ay]: Point, [bx, by]: Point): number => Math.hypot(ax - bx, ay - by);

/** An index of points; undefined without any, because an index cannot be empty. O(points · log(points)). */
export function indexPoints(points: readonly Point[]): Flatbush | undefined {
  if (points.length === 0) return undefined;
  const index = new Flatbush(points.length);
  for (const [x, y] of points) index.add(x, y, x, y);
  index.finish();
  return index;
}

/** Where a segment comes nearest to a point: how far along it, 0 to 1, and how far away, in metres. */
export function nearestOnSegment([px, py]: Point, [[ax, ay], [bx, by]]: readonly [Point, Point]) {
  const [dx, dy] = [bx - ax, by - ay];
  const length2 = dx * dx + dy * dy;
  const along = length2 === 0 ? 0 : Math.max(0, Math.min(1, ((px - ax) * dx + (py - ay) * dy) / length2));
  return { along, awayM: Math.hypot(px - ax - along * dx, py - ay - along * dy) };
}
