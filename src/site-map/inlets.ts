import Flatbush from 'flatbush';
import { isInside } from '../algorithms/index.ts';
import { told } from '../catalogue/index.ts';
import { distanceTo, metreFrame, type Point } from './measure.ts';
import { type Inlet, polygonsOf, type SiteMap, type Zone } from './model.ts';
import { type Problem, problem } from './problem.ts';
import { divideShares } from './shares.ts';
import { INLET_KINDS } from './vocabulary.ts';

/** How far from a zone's edge an inlet may lie to be taken as the zone's own, in metres. */
export const NEAREST_INLET_M = 40;

/**
 * Fills in where each zone drains to: what `drainsTo` states; left out, the catch basins and trench drains inside the
 * zone in equal shares; if there is none, the nearest within 40 m of its edge, with a warning. Changes
 * `map.zones[].inlets`. Distances are as the crow flies: no slope is looked at, so a guessed inlet may lie uphill. Of
 * inlets equally near the map's first is taken. A zone without any in reach keeps no inlets and is told. O((zones left
 * open + inlets) · log(inlets)), and each zone's edges for the inlets near it.
 */
export function resolveInlets(map: SiteMap): Problem[] {
  const open: Zone[] = [];
  for (const zone of map.zones) {
    const { drainsTo } = zone.properties;
    if (drainsTo === undefined) open.push(zone);
    else zone.inlets = statedInlets(drainsTo);
  }
  return open.length === 0 ? [] : guessInlets(map, open);
}

function statedInlets(drainsTo: NonNullable<Zone['properties']['drainsTo']>): Inlet[] {
  const stated = typeof drainsTo === 'string' ? [{ to: drainsTo }] : drainsTo;
  const shares = divideShares(stated.map((inlet) => ('share' in inlet ? inlet.share : undefined)));
  return stated.map(({ to }, at) => ({ to, share: shares.shares[at] }));
}

type Box = readonly [minX: number, minY: number, maxX: number, maxY: number];

/** Finds the points in a box, in their own order. */
function pointIndex(points: readonly Point[]): (box: Box) => number[] {
  if (points.length === 0) return () => [];
  const index = new Flatbush(points.length);
  for (const [x, y] of points) index.add(x, y, x, y);
  index.finish();
  return (box) => index.search(...box).sort((a, b) => a - b);
}

/** The box of an area, wider by a margin on every side. */
function boxAround(polygons: readonly Point[][][], margin: number): Box {
  const box: [number, number, number, number] = [Infinity, Infinity, -Infinity, -Infinity];
  for (const [outer] of polygons) {
    for (const [x, y] of outer) {
      box[0] = Math.min(box[0], x - margin);
      box[1] = Math.min(box[1], y - margin);
      box[2] = Math.max(box[2], x + margin);
      box[3] = Math.max(box[3], y + margin);
    }
  }
  return box;
}

/**
 * Inlets of the zones that state none. All are laid in one frame, so that an index can find those near a zone: only the
 * few in its box, made wider by 40 m, are held against its edges.
 */
function guessInlets(map: SiteMap, open: readonly Zone[]): Problem[] {
  const inlets = map.structures.filter((structure) => INLET_KINDS.includes(structure.kind));
  const frame = metreFrame(polygonsOf(open[0].geometry)[0][0][0]);
  const points = inlets.map((inlet) => frame.toMetres(inlet.position));
  const near = pointIndex(points);
  const problems: Problem[] = [];
  for (const zone of open) {
    const polygons = polygonsOf(zone.geometry).map((rings) =>
      rings.map((ring) => ring.map((at): Point => frame.toMetres(at))),
    );
    const candidates = near(boxAround(polygons, NEAREST_INLET_M));
    const inside = candidates.filter((at) => isInside(polygons.flat(), points[at]));
    if (inside.length > 0) {
      zone.inlets = inside.map((at) => ({ to: inlets[at].id, share: 1 / inside.length }));
      continue;
    }
    const distances = new Map(candidates.map((at) => [at, distanceTo(polygons, points[at])]));
    const distanceOf = (at: number) => distances.get(at) ?? NEAREST_INLET_M;
    const nearest = candidates.reduce((best, at) => (distanceOf(at) < distanceOf(best) ? at : best), -1);
    const place = { id: zone.id, field: 'drainsTo' };
    if (nearest < 0) {
      problems.push(
        problem('no-inlet', place, {
          message: told('map.no-inlet', { reach: { metres: NEAREST_INLET_M } }),
          cure: told('map.draw-inlet'),
        }),
      );
    } else {
      const { id } = inlets[nearest];
      zone.inlets = [{ to: id, share: 1 }];
      problems.push(
        problem('inlet-guessed', place, {
          message: told('map.inlet-guessed', { id, away: { metres: distanceOf(nearest) } }),
          found: told('map.nothing'),
          allowed: told('map.id-of', { named: 'structure' }),
          cure: told('map.state-inlet', { id: JSON.stringify(id) }),
        }),
      );
    }
  }
  return problems;
}
