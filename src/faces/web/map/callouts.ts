import { controlOrder } from '../../words/block.ts';
import { type Box, textWidth } from './boxes.ts';
import type { DrawnYard } from './drawn.ts';
import { type Flat, toPixels } from './flat.ts';
import { markSize, NAMED_FROM } from './mark-size.ts';
import { isClear, isReadable, type Room } from './room.ts';

/** A tag that says what a place is on the map for: block here, lift this lid, oil was seen here. */
export interface Callout {
  kind: 'act' | 'lid' | 'seen';
  /** The structure or zone it speaks of. */
  at: string;
  text: string;
  place: Flat;
  box: Box;
}

const SIZE_PX = 14;
const HEIGHT = 26;
const GAP = 23;
/** How far beyond the yard's bounds a tag may reach, in pixels. */
const SPARE = 10;

/** Where each structure stands and each zone has its middle, in pixels. */
export function placesOf({ flat, transform }: Pick<DrawnYard, 'flat' | 'transform'>): Map<string, Flat> {
  const places = new Map<string, Flat>();
  for (const { zone, spots } of flat.zones) {
    const spot = spots[1] ?? spots[0];
    if (spot) places.set(zone.id, toPixels(transform, spot));
  }
  for (const { structure, at } of flat.structures) places.set(structure.id, toPixels(transform, at));
  return places;
}

/** Places the tags, what to do first, each where it hides nothing if there is such a place. A small map keeps to what to do. */
export function placeCallouts(drawn: DrawnYard, room: Room): Callout[] {
  const places = placesOf(drawn);
  const { left, top, right, bottom } = drawn.flat.bounds;
  const [[minX, minY], [maxX, maxY]] = [
    toPixels(drawn.transform, [left, top]),
    toPixels(drawn.transform, [right, bottom]),
  ];
  // Beyond the yard's own bounds a tag would be cut off where the whole yard just fits the screen.
  const isOnYard = ({ x, y, width, height }: Box) =>
    x - width / 2 >= minX - SPARE &&
    x + width / 2 <= maxX + SPARE &&
    y - height / 2 >= minY - SPARE &&
    y + height / 2 <= maxY + SPARE;
  const isSmall = markSize(drawn.flat, drawn.transform) < NAMED_FROM;
  const wanted: Pick<Callout, 'kind' | 'at' | 'text'>[] = [
    ...(drawn.block?.answer?.plan.controls ?? []).map((each) => ({
      kind: 'act' as const,
      at: each.at,
      text: each.control === 'berm' ? 'Berm the spill' : controlOrder(each),
    })),
    ...drawn.lids.slice(0, 1).map((at) => ({ kind: 'lid' as const, at, text: `Lift ${at} next` })),
    ...(drawn.seen ? [{ kind: 'seen' as const, at: drawn.seen.at, text: drawn.seen.words }] : []),
  ];
  return wanted.flatMap((each) => {
    const place = places.get(each.at);
    if (isSmall && each.kind !== wanted[0].kind) return [];
    return place ? [{ ...each, place, box: freeBox(each.text, place, { room, isOnYard }) }] : [];
  });
}

function freeBox(text: string, [x, y]: Flat, { room, isOnYard }: { room: Room; isOnYard: (box: Box) => boolean }): Box {
  const width = textWidth(text, SIZE_PX) + 18;
  const boxAt = (dx: number, dy: number): Box => ({ x: x + dx, y: y + dy, width, height: HEIGHT });
  const across = GAP + width / 2;
  const down = GAP + HEIGHT / 2;
  const tries = [
    boxAt(across, 0),
    boxAt(-across, 0),
    boxAt(0, down),
    boxAt(0, -down),
    boxAt(across, down),
    boxAt(across, -down),
    boxAt(-across, down),
    boxAt(-across, -down),
  ];
  const onYard = tries.filter(isOnYard);
  const box =
    onYard.find((each) => isClear(room, each)) ??
    onYard.find((each) => isReadable(room, each)) ??
    onYard.find((each) => room.words.isFree(each)) ??
    tries[0];
  room.words.take(box);
  return box;
}
