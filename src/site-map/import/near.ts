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
