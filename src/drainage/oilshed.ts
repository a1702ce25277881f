import { byId, type Zone } from '../site-map/index.ts';
import { type Drainage, flowIndexOf } from './compile.ts';
import { upstreamOf } from './delivery.ts';

/** A zone whose oil can reach a point, and d: the fraction of its oil that enters it. */
export interface OilshedZone {
  zone: Zone;
  delivered: number;
}

/**
 * The zones whose oil can reach a structure, those that deliver most first. A zone is in it by its reach alone, so
 * `delivered` may be 0. Of equal ones the lower id comes first. Empty where no zone drains there. Throws where `at` is
 * not on the map. O(nodes + edges), and the zones found are sorted.
 */
export function oilshed(drainage: Drainage, at: string): OilshedZone[] {
  const { map, order } = drainage;
  const { reaches, delivered } = upstreamOf(drainage, flowIndexOf(drainage, at));
  return map.zones
    .map((zone, node) => ({ zone, place: order.indexOf[node] }))
    .filter(({ place }) => reaches[place] === 1)
    .map(({ zone, place }) => ({ zone, delivered: delivered[place] }))
    .sort((a, b) => b.delivered - a.delivered || byId(a.zone.id, b.zone.id));
}
