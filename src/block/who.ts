import { isOfKind, type Position, type SiteMap, walkerPosition } from '../site-map/index.ts';
import type { BlockAnswer, BlockQuestion, Doer } from './answer.ts';
import type { Crew } from './hands.ts';
import type { KitStock } from './kits-stock.ts';

/** Someone at the spill. */
export const HERE = 'here';
/** Minutes until somebody at the spill sets out, and until a crew that has to be called does. Guesses. */
export const HERE_START_MINUTES = 0.5;
export const CREW_START_MINUTES = 2;

/** Who can place controls, all defaults filled in. */
export type Hands = BlockAnswer['hands'];

/**
 * Who can place controls: as asked, else someone where the spill is and the map's crew posts; null where nobody is named
 * and the map has neither crews nor kits, so that time is not counted. O(features).
 */
export function handsOf(map: SiteMap, { hands }: BlockQuestion, spilledAt: Position | null): Hands | null {
  const crews = map.others.flatMap((each) => (isOfKind(each, 'crew') ? [each] : []));
  if (hands) {
    return hands.map(({ id, position, startMinutes, isTrained }) => ({
      ...{ id, position },
      startMinutes: startMinutes ?? (id === HERE ? HERE_START_MINUTES : CREW_START_MINUTES),
      isTrained: isTrained ?? crews.find((each) => each.id === id)?.properties.trained ?? false,
    }));
  }
  const hasKits = map.others.some((each) => isOfKind(each, 'kit'));
  if (crews.length === 0 && !hasKits) return null;
  const posts = crews.map(({ id, geometry, properties }) => ({
    ...{ id, position: geometry.coordinates, startMinutes: CREW_START_MINUTES, isTrained: properties.trained ?? false },
  }));
  if (!spilledAt) return posts;
  return [{ id: HERE, position: spilledAt, startMinutes: HERE_START_MINUTES, isTrained: false }, ...posts];
}

/** Where each hand stands as the plan begins: where it was last, else where it sets out. Minutes as the model counts them. */
export function standingsOf(
  map: SiteMap,
  hands: Hands,
  { question, kits, spilledAt }: { question: BlockQuestion; kits: readonly KitStock[]; spilledAt: Position | null },
): Crew['starts'] {
  const { agoMinutes = 0, placed = [], ruledOut = [] } = question;
  const done = [...placed, ...ruledOut].sort((a, b) => (a.minutes ?? 0) - (b.minutes ?? 0));
  return hands.map(({ id, position, startMinutes, isTrained }) => {
    const own = done.filter(({ hand }: Doer) => hand === id);
    const last = own.at(-1);
    const visited = kits.flatMap((kit, at) => (own.some((each) => each.kit === kit.id) ? [at] : []));
    if (!last) return { position, free: agoMinutes + startMinutes, isTrained, kits: visited };
    const isOnGround = map.zones.some((zone) => zone.id === last.at);
    const standsAt = (isOnGround ? spilledAt : null) ?? walkerPosition(map, last.at) ?? position;
    return { position: standsAt, free: agoMinutes, isTrained, kits: visited };
  });
}
