import {
  distanceTo,
  type Inlet,
  type MetreFrame,
  metreFrame,
  type Point,
  type Position,
  polygonsOf,
  type SiteMap,
  type Zone,
} from '../site-map/index.ts';

/** One way for oil into the drainage: an inlet, its share of it, and the ground to get there. */
export interface WayIn extends Inlet {
  /** Metres over the ground: from a given point, or from the zone's nearest point; 0 where the inlet lies in the zone. */
  metres: number;
}

/**
 * The ways from a zone's ground into the drainage; inlets that are not on the map are left out. From `point` (longitude
 * and latitude in degrees) where it is given, else from the part of the zone that is nearest to each inlet, which is the
 * soonest that oil anywhere in it can arrive. Metres are as the crow flies, with no detour round walls or kerbs. O(inlets
 * × (structures + corners)).
 */
export function waysInFrom({ structures }: Pick<SiteMap, 'structures'>, zone: Zone, point?: Position): WayIn[] {
  return zone.inlets.flatMap((inlet): WayIn[] => {
    const position = structures.find(({ id }) => id === inlet.to)?.position;
    if (!position) return [];
    const frame = metreFrame(position);
    const metres = point ? Math.hypot(...frame.toMetres(point)) : distanceTo(shapeIn(frame, zone), [0, 0]);
    return [{ ...inlet, metres }];
  });
}

/** A zone's polygons in a metre frame. */
export const shapeIn = (frame: MetreFrame, zone: Zone): Point[][][] =>
  polygonsOf(zone.geometry).map((rings) => rings.map((ring) => ring.map((at): Point => frame.toMetres(at))));
