import geodesic from 'geographiclib-geodesic';
import proj4 from 'proj4';
import { isInside, nearestOnSegment, type PlanePoint } from '../algorithms/index.ts';
import { polygonsOf } from './model.ts';
import type { AreaGeometry, Position } from './schema.ts';

const { WGS84 } = geodesic.Geodesic;

/** Geodesic length of a line on the WGS 84 ellipsoid, in metres (Karney 2013, through GeographicLib). O(positions). */
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

/** Geodesic area on the WGS 84 ellipsoid, in m², holes taken out. Winding does not matter. O(positions). */
export function areaOf(geometry: AreaGeometry): number {
  let area = 0;
  for (const [outer, ...holes] of polygonsOf(geometry)) {
    area += ringArea(outer);
    for (const hole of holes) area -= ringArea(hole);
  }
  return Math.max(0, area);
}

/** A flat frame in metres around one place: true to scale within a few parts in a million over a yard or a small town. */
export interface MetreFrame {
  toMetres(position: Position): [x: number, y: number];
  toPosition(point: readonly [x: number, y: number]): [lon: number, lat: number];
}

/** Transverse Mercator centred on `centre` (proj4). x points east, y north. */
export function metreFrame(centre: Position): MetreFrame {
  const [lon, lat] = centre;
  const projection = proj4(`+proj=tmerc +lat_0=${lat} +lon_0=${lon} +k=1 +x_0=0 +y_0=0 +ellps=WGS84 +units=m +no_defs`);
  return {
    toMetres: (position) => projection.forward<[number, number]>([position[0], position[1]]),
    toPosition: (point) => projection.inverse<[number, number]>([point[0], point[1]]),
  };
}

export type Point = PlanePoint;

/** Distance from a point to an area: 0 inside it, else to its nearest edge. Same unit as the points. O(positions). */
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

/** Whether two segments have a point in common, end points included. */
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
