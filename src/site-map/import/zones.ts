import { type Told, told } from '../../catalogue/index.ts';
import { metreFrame, type Point } from '../measure.ts';
import { type Problem, problem } from '../problem.ts';
import type { Feature, Position } from '../schema.ts';
import { type Activity, INLET_KINDS } from '../vocabulary.ts';
import { boundaryCutter, type Polygons } from './boundary.ts';
import { cellsOf } from './cells.ts';
import { clipConvex, convexHull, disc } from './hull.ts';
import type { Ids } from './ids.ts';
import type { Node } from './nodes.ts';

/** How far from its inlet ground is taken to drain there where no boundary is given, in metres: a guess. */
export const INLET_RADIUS_M = 60;
/** How far the ground reaches beyond the outermost structures where no boundary is given, in metres: a guess. */
const HULL_MARGIN_M = 10;
/** Pieces of ground smaller than this are dropped, in m²: they come from rounding. */
const LEAST_AREA_M2 = 0.1;

export interface InletZonesInput {
  structures: readonly Pick<Node, 'id' | 'kind' | 'position'>[];
  /** Polygons of longitude and latitude (rings closed, no overlaps) that hold all ground; left out, the convex hull of the structures, 10 m wider. */
  boundary?: readonly Position[][][];
  /** Metres; ground farther than this from its inlet is in no zone. Infinity for no limit. */
  radiusM: number;
  activity: Activity;
  /** What a zone is called that drains to an inlet; left out, by its id. */
  nameOf?: (inlet: string) => string;
  ids: Ids;
}

/**
 * Makes a zone for every catch basin and trench drain: the ground that lies nearer to it than to any other (Voronoi),
 * within the boundary and the radius. Inlets at one place share a zone in equal parts. Which way the ground really
 * falls is not known, so each zone is a guess and listed as one. An inlet whose ground lies wholly outside the
 * boundary has no zone, and that is listed too. O(inlets · log(inlets)), and cuts at the boundary.
 */
export function inletZones(input: InletZonesInput): { zones: Feature<'zone'>[]; problems: Problem[] } {
  const inlets = input.structures.filter(({ kind }) => INLET_KINDS.includes(kind));
  if (inlets.length === 0) return { zones: [], problems: [noInlets()] };
  const frame = metreFrame(inlets[inlets.length >> 1].position);
  const toPoint = (position: Position): Point => frame.toMetres(position);
  const ground = groundOf(input, toPoint);
  const cells = cellsOf(
    inlets.map(({ position }) => toPoint(position)),
    ground.outline,
  );
  const zones: Feature<'zone'>[] = [];
  const problems: Problem[] = [];
  for (const { point, members, cell } of cells) {
    const near = Number.isFinite(input.radiusM) ? clipConvex(cell, disc(point, input.radiusM)) : cell;
    const polygons = near.length === 0 ? [] : roundedPolygons(ground.cut(near), frame.toPosition);
    const here = members.map((at) => inlets[at].id);
    if (polygons.length === 0) problems.push(noGround(here));
    else {
      const zone = zoneOf(here, polygons, input);
      zones.push(zone);
      problems.push(zoneNote(zone.id, here, input));
    }
  }
  return { zones, problems };
}

interface Ground {
  /** Points that enclose all ground. */
  outline: Point[];
  cut(cell: readonly Point[]): Polygons;
}

function groundOf({ structures, boundary }: InletZonesInput, toPoint: (position: Position) => Point): Ground {
  if (boundary) {
    const polygons = boundary.map((rings) => rings.map((ring) => ring.map(toPoint)));
    return { outline: polygons.flat(2), cut: boundaryCutter(polygons) };
  }
  const outline = convexHull(structures.flatMap(({ position }) => disc(toPoint(position), HULL_MARGIN_M)));
  const cut = (cell: readonly Point[]): Polygons => {
    const part = clipConvex(cell, outline);
    return part.length === 0 ? [] : [[[...part, part[0]]]];
  };
  return { outline, cut };
}

/** Twice the area is the sum of the cross products along the ring (closed); above 0 either way round. */
function ringAreaM2(ring: readonly Point[]): number {
  const twice = ring.slice(1).reduce((sum, [x, y], at) => sum + ring[at][0] * y - x * ring[at][1], 0);
  return Math.abs(twice) / 2;
}

const rounded = (degrees: number) => Math.round(degrees * 1e7) / 1e7;

/** Polygons as longitude and latitude to 7 decimals (1 cm), without pieces that are too small to be ground. */
function roundedPolygons(polygons: Polygons, toPosition: (point: Point) => [number, number]): Position[][][] {
  return polygons
    .filter(([outer]) => ringAreaM2(outer) >= LEAST_AREA_M2)
    .map((rings) => rings.map((ring) => withoutRepeats(ring.map((point) => toPosition(point).map(rounded)))))
    .map((rings) => rings.filter((ring) => ring.length >= 4));
}

function withoutRepeats(ring: Position[]): Position[] {
  return ring.filter(([lon, lat], at) => at === 0 || lon !== ring[at - 1][0] || lat !== ring[at - 1][1]);
}

function zoneOf(
  inlets: readonly string[],
  polygons: Position[][][],
  { activity, nameOf, ids }: InletZonesInput,
): Feature<'zone'> {
  const id = ids.claim(`Z-${inlets[0]}`);
  const drainsTo = inlets.length === 1 ? inlets[0] : inlets.map((to) => ({ to }));
  const geometry =
    polygons.length === 1
      ? { type: 'Polygon' as const, coordinates: polygons[0] }
      : { type: 'MultiPolygon' as const, coordinates: polygons };
  const name = nameOf && { name: nameOf(inlets[0]) };
  const properties = { kind: 'zone' as const, ...name, activity, drainsTo };
  return { type: 'Feature', id, properties, geometry };
}

function zoneNote(id: string, inlets: readonly string[], input: InletZonesInput): Problem {
  const words = { message: groundTold(inlets, input), cure: told('import.draw-ground') };
  return problem('import-guess', { id, field: 'geometry' }, words);
}

/** What was taken for the ground that drains to some inlets. */
function groundTold(inlets: readonly string[], { boundary, radiusM, activity }: InletZonesInput): Told {
  const own = { inlets: { list: inlets }, activity };
  const [radius, margin] = [{ metres: radiusM }, { metres: HULL_MARGIN_M }];
  if (Number.isFinite(radiusM))
    return boundary
      ? told('import.zone-in-boundary-within', { ...own, radius })
      : told('import.zone-in-hull-within', { ...own, radius, margin });
  return boundary ? told('import.zone-in-boundary', own) : told('import.zone-in-hull', { ...own, margin });
}

function noGround(inlets: readonly string[]): Problem {
  const words = {
    message: told('import.no-ground', { inlets: { list: inlets } }),
    cure: told('import.widen-boundary'),
  };
  return problem('import-left-out', { id: inlets[0], field: null }, words);
}

function noInlets(): Problem {
  const words = { message: told('import.no-inlets'), cure: told('import.say-catch-basins') };
  return problem('import-left-out', { id: null, field: null }, words);
}
