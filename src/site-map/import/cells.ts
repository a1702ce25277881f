import { Delaunay } from 'd3-delaunay';
import type { Point } from '../measure.ts';
import { boxAround } from './box.ts';

/** The ground nearer to a point than to the others; `members` are the points that stand at that place. */
export interface Cell {
  point: Point;
  members: number[];
  /** A convex polygon, against the clock, not closed. */
  cell: Point[];
}

/**
 * Divides the box around everything given among the points (Voronoi). Points at the same place share a cell.
 * O((points + others) · log).
 */
export function cellsOf(points: readonly Point[], others: readonly Point[]): Cell[] {
  const places = new Map<string, number[]>();
  for (const [at, point] of points.entries()) {
    const key = point.join(' ');
    places.set(key, [...(places.get(key) ?? []), at]);
  }
  const groups = [...places.values()];
  const sites = groups.map(([first]): [number, number] => [...points[first]]);
  const diagram = Delaunay.from(sites).voronoi(boxAround([...points, ...others], 1));
  return groups.map((members, at) => ({
    point: sites[at],
    members,
    cell: (diagram.cellPolygon(at) ?? []).slice(0, -1).map(([x, y]): Point => [x, y]),
  }));
}
