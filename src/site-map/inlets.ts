import { contains, distanceTo, metreFrame, type Point, polygonsOf } from './measure.ts';
import type { Inlet, SiteMap, Zone } from './model.ts';
import { type Problem, problem } from './problem.ts';
import { divideShares } from './shares.ts';
import { INLET_KINDS } from './vocabulary.ts';

/** How far from a zone's edge an inlet may lie to be taken as the zone's own, in metres (contract §1). */
export const NEAREST_INLET_M = 40;

/**
 * Fills in where each zone drains to: what `drainsTo` states; left out, the catch basins and trench drains inside the
 * zone in equal shares; if there is none, the nearest within 40 m, with a warning. Changes `map.zones[].inlets`.
 * O(zones left open × inlets).
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

function guessInlets(map: SiteMap, open: readonly Zone[]): Problem[] {
  const inlets = map.structures.filter((structure) => INLET_KINDS.includes(structure.kind));
  const frame = metreFrame(polygonsOf(open[0].geometry)[0][0][0]);
  const points = inlets.map((inlet) => frame.toMetres(inlet.position));
  const problems: Problem[] = [];
  for (const zone of open) {
    const polygons = polygonsOf(zone.geometry).map((rings) =>
      rings.map((ring) => ring.map((at): Point => frame.toMetres(at))),
    );
    const inside = inlets.filter((_, at) => contains(polygons, points[at]));
    if (inside.length > 0) {
      zone.inlets = inside.map(({ id }) => ({ to: id, share: 1 / inside.length }));
      continue;
    }
    const distances = points.map((point) => distanceTo(polygons, point));
    const nearest = distances.reduce(
      (best, distance, at) => (distance < (distances[best] ?? NEAREST_INLET_M) ? at : best),
      -1,
    );
    const place = { id: zone.id, field: 'drainsTo' };
    if (nearest < 0) {
      problems.push(
        problem('no-inlet', place, {
          message: `no catch basin or trench drain lies in this zone or within ${NEAREST_INLET_M} m of it, so nothing drains from here`,
          cure: 'state drainsTo, or draw the inlet that is missing',
        }),
      );
    } else {
      const { id } = inlets[nearest];
      zone.inlets = [{ to: id, share: 1 }];
      problems.push(
        problem('inlet-guessed', place, {
          message: `not stated and no inlet lies inside, so ${id}, ${distances[nearest].toFixed(0)} m away, is taken`,
          found: 'nothing',
          allowed: "a structure's id",
          cure: `write "drainsTo": ${JSON.stringify(id)} if that is where it drains`,
        }),
      );
    }
  }
  return problems;
}
