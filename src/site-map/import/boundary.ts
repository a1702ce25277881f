import Flatbush from 'flatbush';
import { intersection, union } from 'polyclip-ts';
import { isInside } from '../../algorithms/index.ts';
import { type Told, told } from '../../catalogue/index.ts';
import { parseJson } from '../json.ts';
import type { Point } from '../measure.ts';
import { type Problem, problem } from '../problem.ts';
import type { Position } from '../schema.ts';
import { memberOf } from '../unknown.ts';
import { type Box, boxAround } from './box.ts';
import { isOnGlobe, isPosition } from './geometry.ts';
import { clipConvex } from './hull.ts';
import type { Layer } from './layers.ts';

export type Polygons = Point[][][];

/** Polygons out of a GeoJSON geometry, a feature or a collection of features; what is no polygon is passed over. */
function polygonsIn(value: unknown): unknown[] {
  const [type, features] = [memberOf(value, 'type'), memberOf(value, 'features')];
  if (type === 'Feature') return polygonsOfGeometry(memberOf(value, 'geometry'));
  if (type !== 'FeatureCollection' || !Array.isArray(features)) return polygonsOfGeometry(value);
  return features.flatMap((feature) => polygonsOfGeometry(memberOf(feature, 'geometry')));
}

function polygonsOfGeometry(geometry: unknown): unknown[] {
  const [type, coordinates] = [memberOf(geometry, 'type'), memberOf(geometry, 'coordinates')];
  if (type === 'Polygon') return [coordinates];
  return type === 'MultiPolygon' && Array.isArray(coordinates) ? coordinates : [];
}

function isRing(value: unknown): value is Position[] {
  return Array.isArray(value) && value.length >= 3 && value.every((each) => isPosition(each) && isOnGlobe(each));
}

/**
 * Reads a boundary: one or more polygons of longitude and latitude, which come back without overlaps and with every
 * ring closed. No boundary and a problem where there is none to be read. O(positions · log(positions)).
 */
export function readBoundary({ name, text }: Layer): { boundary?: Position[][][]; problems: Problem[] } {
  const { value, problems } = parseJson(text, 'warn');
  if (value === undefined) return { problems: problems.map((each) => ({ ...each, id: name })) };
  const polygons = polygonsIn(value);
  if (polygons.length === 0) return { problems: [badBoundary(name, told('import.boundary-without-polygon'))] };
  if (!polygons.every(isPolygon)) {
    return { problems: [badBoundary(name, told('import.boundary-rings'))] };
  }
  try {
    return { boundary: mergePolygons(polygons), problems: [] };
  } catch {
    return { problems: [badBoundary(name, told('import.boundary-not-one'))] };
  }
}

function badBoundary(name: string, message: Told): Problem {
  const words = { message, allowed: told('import.boundary-allowed'), cure: told('import.draw-boundary') };
  return problem('bad-file', { id: name, field: null }, words);
}

function isPolygon(value: unknown): value is Position[][] {
  return Array.isArray(value) && value.length > 0 && value.every(isRing);
}

function mergePolygons(polygons: Position[][][]): Position[][][] {
  const closed = polygons.map((rings) => rings.map((ring) => closedRing(ring.map(([lon, lat]) => [lon, lat]))));
  return closed.length < 2 ? closed : (union(closed as never) as Position[][][]);
}

function closedRing(ring: Position[]): Position[] {
  const [first, last] = [ring[0], ring[ring.length - 1]];
  return first[0] === last[0] && first[1] === last[1] ? ring : [...ring, first];
}

/**
 * Makes a cutter: the part of a convex cell (not closed) inside the boundary, as polygons with closed rings; none where
 * they do not meet. A cell that no edge of the boundary comes near to is kept or dropped whole, without a cut: O(log(edges)).
 * For others the boundary is first cut down to a box around the cell, so that the costly exact cut sees few edges: O(edges).
 */
export function boundaryCutter(boundary: Polygons): (cell: readonly Point[]) => Polygons {
  const edges = boundary
    .flat()
    .flatMap((ring) => ring.map((to, at): Point[] => [ring[(at + ring.length - 1) % ring.length], to]));
  const index = new Flatbush(edges.length);
  for (const edge of edges) index.add(...boxAround(edge));
  index.finish();
  return (cell) => {
    const box = boxAround(cell);
    if (index.search(...box).length === 0) return isInside(boundary.flat(), cell[0]) ? [[[...cell, cell[0]]]] : [];
    const near = partInBox(boundary, box);
    return near.length === 0 ? [] : exactCut(cell, near);
  };
}

/** The exact cut fails on rare drawings; then the part is right, but its pieces stay joined along the edges of the cell. */
function exactCut(cell: readonly Point[], near: Polygons): Polygons {
  try {
    return intersection([[...cell, cell[0]]] as never, near as never) as unknown as Polygons;
  } catch {
    return clipRings(near, () => cell);
  }
}

/**
 * The boundary inside a box that is wider by some metres, so that the edges that `clipConvex` adds lie outside every
 * cell in it. Each ring has a box of its own width, because the exact cut does not bear rings with edges on one line.
 */
function partInBox(boundary: Polygons, box: Box): Polygons {
  let marginM = 1;
  return clipRings(boundary, () => cornersOf(box, marginM++));
}

/** Every ring (closed) cut down to a convex shape; a polygon whose outer ring lies outside of it is dropped. */
function clipRings(polygons: Polygons, shapeOf: () => readonly Point[]): Polygons {
  return polygons
    .map((rings) => rings.map((ring) => clipConvex(ring.slice(0, -1), shapeOf())))
    .filter(([outer]) => outer.length > 0)
    .map((rings) => rings.filter((ring) => ring.length > 0).map((ring) => [...ring, ring[0]]));
}

function cornersOf([left, low, right, high]: Box, marginM: number): Point[] {
  const [west, south, east, north] = [left - marginM, low - marginM, right + marginM, high + marginM];
  return [
    [west, south],
    [east, south],
    [east, north],
    [west, north],
  ];
}
