import type { Hand } from '../../../block/index.ts';
import {
  isOfKind,
  middleOfZone,
  type Position,
  type SiteMap,
  walkerPosition,
  walkingGround,
} from '../../../site-map/index.ts';
import type { SpillPlace } from '../../../spill/index.ts';
import type { Asks, Replies } from './protocol.ts';

/** Minutes until a crew that was called sets out, and until somebody who is there already does. */
const CREW_STARTS_MINUTES = 2;
const HERE_STARTS_MINUTES = 0.5;

/** Where on the globe a spill is: its point, else the middle of its zone; null for a zone that is not on the map. */
export function spilledAt({ zones }: Pick<SiteMap, 'zones'>, place: SpillPlace): Position | null {
  if ('point' in place) return place.point;
  const zone = zones.find(({ id }) => id === place.zone);
  return zone ? middleOfZone(zone) : null;
}

/** Who can place controls, as far as that was said; undefined leaves it to the plan. */
export function handsOf(
  map: SiteMap,
  { place, helpers = 'all', minutesSinceCall = 0 }: Asks['block'],
): Hand[] | undefined {
  const position = spilledAt(map, place);
  const isCounted = map.others.some((each) => isOfKind(each, 'crew', 'kit'));
  // On a map without crews and kits nobody's time is counted, unless somebody says who is there.
  if (!position || (helpers === 'all' && !isCounted)) return undefined;
  const here: Hand = { id: 'here', position, startMinutes: Math.max(0, HERE_STARTS_MINUTES - minutesSinceCall) };
  const startMinutes = Math.max(0, CREW_STARTS_MINUTES - minutesSinceCall);
  const crews = map.others.flatMap((each): Hand[] =>
    isOfKind(each, 'crew') ? [{ id: each.id, position: each.geometry.coordinates, startMinutes }] : [],
  );
  return { all: [here, ...crews], alone: [here], crews }[helpers];
}

/** The way of who does a step: to the kit, where one is fetched, and on to the place; null where the place is not known. */
export function walkOf(map: SiteMap, { from, kit, at, place }: Asks['walk']): Replies['walk'] {
  const ways = walkingGround(map);
  const isGround = map.zones.some(({ id }) => id === at);
  // Ground is not walked to its middle but to the oil.
  const end = (isGround ? spilledAt(map, place) : null) ?? walkerPosition(map, at);
  if (!end) return null;
  const kitAt = kit === null ? null : walkerPosition(map, kit);
  const legs = kitAt ? [ways.wayFrom(from, kitAt), ways.wayFrom(kitAt, end)] : [ways.wayFrom(from, end)];
  const minutes = legs.reduce((sum, leg) => sum + leg.minutes, 0);
  const path = minutes === Number.POSITIVE_INFINITY ? [] : legs.flatMap((leg) => leg.path);
  return { start: from, kit: kitAt, end, path, minutes };
}
