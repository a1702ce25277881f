import { isInside } from '../algorithms/index.ts';
import { told } from '../catalogue/index.ts';
import { shapeIn, type WayIn, waysInFrom } from '../drainage/index.ts';
import {
  byId,
  INLET_KINDS,
  idRemedy,
  metreFrame,
  middleOfZone,
  NEAREST_INLET_M,
  type Position,
  type Problem,
  problem,
  type SiteMap,
  show,
  type Zone,
} from '../site-map/index.ts';

/** A spill: on a zone's ground, or at a point of the map. */
export type SpillPlace = { zone: string } | { point: Position };

/** Where the oil starts from. */
export interface SpillStart {
  /** The zone whose ground it is on; null outside every zone. */
  zone: Zone | null;
  /** Empty where nothing drains from there. */
  waysIn: WayIn[];
}

/**
 * Finds where a spill starts: in the middle of a zone, or at a point, on the ground of the zone that it lies in; outside every zone, the nearest inlet within
 * 40 m, as the crow flies, with a warning that it was guessed. Where zones overlap, the map's first one that holds the
 * point. `start` is null for an id that no zone has. O(corners + structures).
 */
export function spillStart(map: SiteMap, place: SpillPlace): { start: SpillStart | null; problems: Problem[] } {
  const point = 'point' in place ? place.point : null;
  const zone = 'zone' in place ? map.zones.find(({ id }) => id === place.zone) : zoneAt(map.zones, place.point);
  if (zone) return { start: { zone, waysIn: waysInFrom(map, zone, point ?? middleOfZone(zone)) }, problems: [] };
  return 'zone' in place ? unknownZone(map.zones, place.zone) : nearestInlet(map, place.point);
}

function zoneAt(zones: readonly Zone[], point: Position): Zone | undefined {
  const frame = metreFrame(point);
  return zones.find((zone) => isInside(shapeIn(frame, zone).flat(), [0, 0]));
}

function unknownZone(zones: readonly Zone[], id: string): ReturnType<typeof spillStart> {
  const ids = zones.map((zone) => zone.id);
  const found = show(id);
  const message = told('map.no-such-id', { id: found, named: 'zone' });
  const allowed = told('map.id-of', { named: 'zone' });
  const cure = idRemedy(id, ids, told('spill.zone-remedy', { ids: ids.slice(0, 3).join(', ') }));
  return { start: null, problems: [problem('unknown-id', { id, field: '--zone' }, { message, found, allowed, cure })] };
}

/** The inlet nearest to a point outside every zone; none within 40 m means that nothing drains from there. */
function nearestInlet(map: SiteMap, point: Position): ReturnType<typeof spillStart> {
  const frame = metreFrame(point);
  const near = map.structures
    .filter(({ kind }) => INLET_KINDS.includes(kind))
    .map(({ id, position }) => ({ to: id, share: 1, metres: Math.hypot(...frame.toMetres(position)) }))
    .sort((a, b) => a.metres - b.metres || byId(a.to, b.to))[0];
  const place = { id: null, field: '--point' };
  if (!near || near.metres > NEAREST_INLET_M) {
    const message = told('spill.no-inlet', { reach: { metres: NEAREST_INLET_M } });
    const cure = told('spill.no-inlet-remedy');
    return { start: { zone: null, waysIn: [] }, problems: [problem('no-inlet', place, { message, cure })] };
  }
  const message = told('spill.inlet-guessed', { id: near.to, away: { metres: near.metres } });
  return {
    start: { zone: null, waysIn: [near] },
    problems: [problem('inlet-guessed', place, { message, cure: told('spill.inlet-guessed-remedy') })],
  };
}
