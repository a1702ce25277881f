import type { Point } from '../measure.ts';

const SIDES = 32;

/** A regular polygon within a circle of so many metres about a point, against the clock, not closed. */
export function disc([x, y]: Point, radiusM: number): Point[] {
  return Array.from({ length: SIDES }, (_, at): Point => {
    const turn = (2 * Math.PI * at) / SIDES;
    return [x + radiusM * Math.cos(turn), y + radiusM * Math.sin(turn)];
  });
}

/** Twice the area of the triangle a, b, c; above 0 where it turns against the clock. */
const turnOf = ([ax, ay]: Point, [bx, by]: Point, [cx, cy]: Point) => (bx - ax) * (cy - ay) - (by - ay) * (cx - ax);

/**
 * The convex hull, against the clock, not closed; fewer than three points where they lie on one line or are fewer.
 * Monotone chain (Andrew 1979, from memory). O(points · log(points)).
 */
export function convexHull(points: readonly Point[]): Point[] {
  const sorted = points.toSorted((a, b) => a[0] - b[0] || a[1] - b[1]);
  const half = (order: readonly Point[]) => {
    const chain: Point[] = [];
    for (const point of order) {
      while (chain.length > 1 && turnOf(chain[chain.length - 2], chain[chain.length - 1], point) <= 0) chain.pop();
      chain.push(point);
    }
    return chain.slice(0, -1);
  };
  return [...half(sorted), ...half(sorted.toReversed())];
}

/**
 * The part of a polygon inside a convex one that runs against the clock; both are not closed. Empty where they do not
 * meet. The pieces of a polygon that is not convex stay joined by edges along the border of the convex one. O(n · m).
 */
export function clipConvex(polygon: readonly Point[], within: readonly Point[]): readonly Point[] {
  let rest = polygon;
  for (const [at, from] of within.entries()) rest = keepLeft(rest, [from, within[(at + 1) % within.length]]);
  return rest.length < 3 ? [] : rest;
}

/** One step of Sutherland and Hodgman (1974, from memory): what lies left of a directed line. */
function keepLeft(polygon: readonly Point[], [from, to]: readonly [Point, Point]): readonly Point[] {
  const turns = polygon.map((point) => turnOf(from, to, point));
  if (turns.every((turn) => turn >= 0)) return polygon;
  const kept: Point[] = [];
  for (const [at, [x, y]] of polygon.entries()) {
    const next = (at + 1) % polygon.length;
    if (turns[at] >= 0) kept.push([x, y]);
    if (turns[at] >= 0 === turns[next] >= 0) continue;
    const along = turns[at] / (turns[at] - turns[next]);
    kept.push([x + along * (polygon[next][0] - x), y + along * (polygon[next][1] - y)]);
  }
  return kept;
}
