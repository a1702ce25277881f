import geodesic from 'geographiclib-geodesic';
import proj4 from 'proj4';
import { isInside, nearestOnSegment, type PlanePoint } from '../algorithms/index.ts';
import { polygonsOf } from './model.ts';
import type { AreaGeometry, Position } from './schema.ts';

const { WGS84 } = geodesic.Geodesic;

/**
 * Geodesic length of a line on the WGS 84 ellipsoid, in metres (Karney 2013, through GeographicLib). Positions are
 * [longitude, latitude] in degrees; heights count for nothing, so a steep ramp is longer than this says. 0 for fewer
 * than two positions. The method is good to some nanometres, so a length is as good as the map is drawn. O(positions).
 */
export function lengthOf(path: readonly Position[]): number {
  let metres = 0;
  for (let at = 1; at < path.length; at++) {
    const [lon1, lat1] = path[at - 1];
    const [lon2, lat2] = path[at];
    metres += WGS84.Inverse(lat1, lon1, lat2, lon2, geodesic.Geodesic.DISTANCE).s12 ?? 0;
  }
  return metres;
}

function ringArea(ring: readonly Position[]): number {
  const polygon = WGS84.Polygon(false);
  // The last position repeats the first and is left out.
  const last = ring.length - 1;
  const closed = ring[0][0] === ring[last][0] && ring[0][1] === ring[last][1];
  for (let at = 0; at < (closed ? last : ring.length); at++) polygon.AddPoint(ring[at][1], ring[at][0]);
  return Math.abs(polygon.Compute(false, true).area ?? 0);
}

/**
 * Geodesic area on the WGS 84 ellipsoid, in m², 0 or more, holes taken out (Karney 2013, through GeographicLib). Edges
 * are geodesics. Winding does not matter, and rings may be closed or not. A ring that crosses itself has the difference
 * of its loops, and parts that overlap count twice. O(positions).
 */
export function areaOf(geometry: AreaGeometry): number {
  let area = 0;
  for (const [outer, ...holes] of polygonsOf(geometry)) {
    area += ringArea(outer);
    for (const hole of holes) area -= ringArea(hole);
  }
  return Math.max(0, area);
}

/**
 * A flat frame in metres around one place: true to scale within a few parts in a million over a yard or a small town.
 * The scale grows with the square of the way x east or west of the centre, by x² ÷ 2R² with R the earth's radius: one
 * part in a million at 9 km, ten at 28 km. Angles are true everywhere.
 */
export interface MetreFrame {
  toMetres(position: Position): [x: number, y: number];
  toPosition(point: readonly [x: number, y: number]): [lon: number, lat: number];
}

/**
 * Transverse Mercator on the WGS 84 ellipsoid, centred on `centre` ([longitude, latitude]), which is at 0, 0 (proj4). x
 * points east, y north; north is the grid's, which turns a little from true north away from the centre's meridian.
 * Making a frame costs far more than using it: make one for a yard.
 */
export function metreFrame(centre: Position): MetreFrame {
  const [lon, lat] = centre;
  const projection = proj4(`+proj=tmerc +lat_0=${lat} +lon_0=${lon} +k=1 +x_0=0 +y_0=0 +ellps=WGS84 +units=m +no_defs`);
  return {
    toMetres: (position) => projection.forward<[number, number]>([position[0], position[1]]),
    toPosition: (point) => projection.inverse<[number, number]>([point[0], point[1]]),
  };
}

export type Point = PlanePoint;

/**
 * Distance from a point to an area: 0 inside it, else to its nearest edge, that of a hole among them. Same unit as the
 * points, which lie in a flat frame. Rings must come back to their first point, or their last edge is left out.
 * Infinity for an area without edges. O(positions).
 */
export function distanceTo(polygons: readonly Point[][][], point: Point): number {
  if (isInside(polygons.flat(), point)) return 0;
  let least = Number.POSITIVE_INFINITY;
  for (const ring of polygons.flat()) {
    for (let at = 1; at < ring.length; at++) {
      least = Math.min(least, nearestOnSegment(point, ring[at - 1], ring[at]).distance);
    }
  }
  return least;
}

/**
 * Whether two segments have a point in common, end points included. They cross where the ends of each lie on different
 * sides of the other (the sign of a cross product); else they meet only where an end of one lies on the other, which is
 * where that sign is 0 and the end is within the other's box. Signs are of rounded products, so for points within a
 * rounding error of a line the answer may be either. O(1).
 */
export function segmentsMeet([a, b]: readonly [Point, Point], [c, d]: readonly [Point, Point]): boolean {
  const side = (p: Point, q: Point, r: Point) =>
    Math.sign((q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0]));
  const within = (p: Point, q: Point, r: Point) =>
    Math.min(p[0], q[0]) <= r[0] &&
    r[0] <= Math.max(p[0], q[0]) &&
    Math.min(p[1], q[1]) <= r[1] &&
    r[1] <= Math.max(p[1], q[1]);
  const [abc, abd, cda, cdb] = [side(a, b, c), side(a, b, d), side(c, d, a), side(c, d, b)];
  if (abc !== abd && cda !== cdb) return true;
  return (
    (abc === 0 && within(a, b, c)) ||
    (abd === 0 && within(a, b, d)) ||
    (cda === 0 && within(c, d, a)) ||
    (cdb === 0 && within(c, d, b))
  );
}
