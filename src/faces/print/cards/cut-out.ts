import type { CardStep, ResponseCard } from '../../../block/index.ts';
import type { FlatOther, FlatYard, FlatZone } from '../../../drawing/index.ts';
import { type Bounds, boundsOf, type Flat, fitTo, markSize, type Transform, toPixels } from '../../../drawing/index.ts';
import { everyStep } from './plan.tsx';

/** Width of a card's map, in the map's own units. */
export const MAP_WIDTH = 460;
const MARGIN = 32;
/** No closer than this, in metres across, however small the zone. */
const LEAST_ACROSS_M = 30;
/** Marks shrink where they would run into each other, but not below what can be read on a copy. */
const LEAST_MARK = 0.7;

/** What stands on the map by its mark, beside the structures. */
export const MARKED: readonly FlatOther['kind'][] = ['kit', 'crew'];

/** A card's map, fitted to its sheet. */
export interface Drawn {
  card: ResponseCard;
  zone: FlatZone;
  /** Every place that the card numbers, once. */
  steps: CardStep[];
  /** What of the yard is in view. */
  flat: FlatYard;
  transform: Transform;
  /** Size of marks, 0.7 to 1. */
  size: number;
  height: number;
}

/** The links that the oil takes. */
export const waysOf = ({ dry }: ResponseCard): Set<string> => new Set(dry.ways.map(({ id }) => id));

/** Fits the zone, the way of its oil, the places to block, the kits for them and the nearest crew into a drawing. */
export function cutOut(card: ResponseCard, yard: FlatYard, height: number): Drawn {
  const steps = [...new Map(everyStep(card).map((step) => [step.ring, step])).values()];
  const transform = fitTo(boundsFor(card, yard, steps), { width: MAP_WIDTH, height, margin: MARGIN });
  const flat = withinView(yard, transform, height);
  const zone = yard.zones.find((each) => each.zone.id === card.zone.id);
  if (!zone) throw new Error(`the drawing has no zone ${card.zone.id}`);
  return { card, zone, steps, flat, transform, size: Math.max(LEAST_MARK, markSize(flat, transform)), height };
}

function boundsFor(card: ResponseCard, yard: FlatYard, steps: readonly CardStep[]): Bounds {
  const { zone, dry, nearestKit } = card;
  const ways = waysOf(card);
  const wanted = new Set([...dry.arrivals, ...steps.map(({ at }) => ({ id: at }))].map(({ id }) => id));
  const kits = new Set([nearestKit?.id, ...steps.map(({ kit }) => kit)]);
  const places: Flat[] = [
    ...yard.zones.filter((each) => each.zone.id === zone.id).flatMap(({ area }) => area.flat(2)),
    ...yard.links.filter(({ link }) => ways.has(link.id)).flatMap(({ path }) => path),
    ...yard.structures.filter(({ structure }) => wanted.has(structure.id)).map(({ at }) => at),
    ...yard.others.flatMap(({ id, at }) => (at && kits.has(id) ? [at] : [])),
  ];
  const around = boundsOf(places) ?? yard.bounds;
  const crew = nearestCrew(yard, [(around.left + around.right) / 2, (around.top + around.bottom) / 2]);
  return atLeast(boundsOf(crew ? [...places, crew] : places) ?? around, LEAST_ACROSS_M / yard.metresPerUnit);
}

function nearestCrew({ others }: FlatYard, [x, y]: Flat): Flat | null {
  const posts = others.flatMap(({ kind, at }) => (at && kind === 'crew' ? [at] : []));
  const far = (post: Flat) => Math.hypot(post[0] - x, post[1] - y);
  return posts.sort((a, b) => far(a) - far(b))[0] ?? null;
}

/** The same bounds, widened about their middle to at least so much both ways. */
function atLeast({ left, right, top, bottom }: Bounds, least: number): Bounds {
  const [spareX, spareY] = [Math.max(0, least - (right - left)) / 2, Math.max(0, least - (bottom - top)) / 2];
  return { left: left - spareX, right: right + spareX, top: top - spareY, bottom: bottom + spareY };
}

/** The yard without what lies outside the drawing, so that the card of a whole town stays small. */
function withinView(yard: FlatYard, transform: Transform, height: number): FlatYard {
  const isSeen = (places: readonly Flat[]) => {
    const bounds = boundsOf(places.map((place) => toPixels(transform, place)));
    return (
      bounds !== null && bounds.right >= 0 && bounds.left <= MAP_WIDTH && bounds.bottom >= 0 && bounds.top <= height
    );
  };
  return {
    ...yard,
    zones: yard.zones.filter(({ area }) => isSeen(area.flat(2))),
    structures: yard.structures.filter(({ at }) => isSeen([at])),
    links: yard.links.filter(({ path }) => isSeen(path)),
    others: yard.others.filter(({ area, path, at }) => isSeen(area?.flat(2) ?? path ?? (at ? [at] : []))),
  };
}
