/** A point of a plane; both in one unit, whichever it is. */
export type PlanePoint = readonly [x: number, y: number];

/**
 * Whether a point lies inside rings, by counting the edges that a ray from it crosses: an odd count is inside, so that
 * holes are outside (Shimrat 1962, Communications of the ACM 5(8), 434). On an edge either may come out. O(positions).
 * Rings need not be closed, nor turn in any one direction. An edge is crossed where just one of its ends is above the
 * ray, so that a corner on the ray is counted once and a level edge, whose slope would divide by 0, never.
 *
 * @example
 * import { isInside } from 'oilshed/algorithms';
 * isInside([[[0, 0], [4, 0], [4, 4], [0, 4]]], [1, 3]); // → true
 */
export function isInside(rings: readonly (readonly PlanePoint[])[], [x, y]: PlanePoint): boolean {
  let inside = false;
  for (const ring of rings) {
    for (let end = 0, start = ring.length - 1; end < ring.length; start = end++) {
      const [[ax, ay], [bx, by]] = [ring[end], ring[start]];
      if (ay > y !== by > y && x < ((bx - ax) * (y - ay)) / (by - ay) + ax) inside = !inside;
    }
  }
  return inside;
}

/**
 * Where the segment from `a` to `b` comes nearest to a point: that place, how far along the segment it is (0 to 1) and
 * how far from the point. A segment without length is its one point.
 *
 * @example
 * import { nearestOnSegment } from 'oilshed/algorithms';
 * nearestOnSegment([3, 4], [0, 0], [10, 0]); // → { at: [3, 0], along: 0.3, distance: 4 }
 */
export function nearestOnSegment(
  [x, y]: PlanePoint,
  [ax, ay]: PlanePoint,
  [bx, by]: PlanePoint,
): { at: PlanePoint; along: number; distance: number } {
  const [dx, dy] = [bx - ax, by - ay];
  const squared = dx * dx + dy * dy;
  const along = squared === 0 ? 0 : Math.max(0, Math.min(1, ((x - ax) * dx + (y - ay) * dy) / squared));
  const at: PlanePoint = [ax + along * dx, ay + along * dy];
  return { at, along, distance: Math.hypot(x - at[0], y - at[1]) };
}
