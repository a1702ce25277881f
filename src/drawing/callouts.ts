import { controlOrder, lidWords } from '../words/index.ts';
import { type Box, TakenBoxes, textWidth } from './boxes.ts';
import type { DrawnYard } from './drawn.ts';
import { boundsOf, type Flat, type Transform, toPixels } from './flat.ts';
import type { FlatArea } from './flat-yard.ts';
import { markSize, NAMED_FROM } from './mark-size.ts';
import { placesOf } from './places.ts';
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
  const kinds = new Map(drawn.flat.structures.map(({ structure: { id, kind } }) => [id, kind]));
  const kindOf = (id: string) => kinds.get(id);
  const isSmall = markSize(drawn.flat, drawn.transform) < NAMED_FROM;
  const wanted: Pick<Callout, 'kind' | 'at' | 'text'>[] = [
    ...drawn.acts
      .filter(({ isPlaced }) => !isPlaced)
      .map((each) => ({
        kind: 'act' as const,
        at: each.at,
        // On a small map the answer has the order, and the tag but the place.
        text: isSmall
          ? each.at
          : each.control === 'berm'
            ? drawn.voice.say('drawing.berm')
            : controlOrder(each, drawn.voice),
      })),
    ...drawn.lids.slice(0, 1).map((at) => ({
      kind: 'lid' as const,
      at,
      text: drawn.voice.say('drawing.lift', { lid: lidWords(at, kindOf, drawn.voice) }),
    })),
    ...(drawn.seen ? [{ kind: 'seen' as const, at: drawn.seen.at, text: drawn.seen.words }] : []),
  ];
  const numbers = numberBoxes(drawn, room);
  return wanted.flatMap((each) => {
    const place = places.get(each.at);
    if (isSmall && each !== wanted[0]) return [];
    return place ? [{ ...each, place, box: freeBox(each.text, place, { room, numbers, isOnYard }) }] : [];
  });
}

/** Steps outwards at which a tag is tried, as parts of its least distance; its line leads back to the place. */
const OUTWARDS = [1, 1.8, 2.8, 4];

function freeBox(
  text: string,
  [x, y]: Flat,
  { room, numbers, isOnYard }: { room: Room; numbers: Spared; isOnYard: (box: Box) => boolean },
): Box {
  const width = textWidth(text, SIZE_PX) + 18;
  const boxAt = (dx: number, dy: number): Box => ({ x: x + dx, y: y + dy, width, height: HEIGHT });
  const tries = OUTWARDS.flatMap((part) => {
    const across = GAP * part + width / 2;
    const down = GAP * part + HEIGHT / 2;
    return [
      boxAt(across, 0),
      boxAt(-across, 0),
      boxAt(0, down),
      boxAt(0, -down),
      boxAt(across, down),
      boxAt(across, -down),
      boxAt(-across, down),
      boxAt(-across, -down),
      boxAt(width / 2 - GAP, down),
      boxAt(width / 2 - GAP, -down),
      boxAt(GAP - width / 2, down),
      boxAt(GAP - width / 2, -down),
    ];
  });
  const onYard = tries.filter(isOnYard);
  const near = onYard.slice(0, tries.length / OUTWARDS.length);
  const spares = (box: Box) => numbers.all.isFree(box);
  const box =
    near.find((each) => isClear(room, each) && spares(each)) ??
    near.find((each) => isReadable(room, each) && spares(each)) ??
    onYard.find((each) => isReadable(room, each) && spares(each)) ??
    onYard.find((each) => room.words.isFree(each) && spares(each)) ??
    onYard.find((each) => room.words.isFree(each) && numbers.main.isFree(each)) ??
    onYard.find((each) => room.words.isFree(each)) ??
    tries[0];
  room.words.take(box);
  return box;
}

/** Where the numbers of the likelier zones would stand: a tag keeps off them while it can, off the likeliest longest. */
interface Spared {
  all: TakenBoxes;
  main: TakenBoxes;
}

function numberBoxes({ flat, answer, transform }: DrawnYard, { marks }: Room): Spared {
  const spared: Spared = { all: new TakenBoxes(), main: new TakenBoxes() };
  const shares = new Map(answer?.zones.map(({ id, share }) => [id, share]));
  for (const { zone, area, spots } of flat.zones) {
    const share = shares.get(zone.id) ?? 0;
    if (share < LEAST_SPARED) continue;
    const tries = spots.map((spot): Box => {
      const [x, y] = toPixels(transform, spot);
      return { x, y, ...NUMBER };
    });
    const ground = groundBox(area, transform);
    // On small ground the number may end up anywhere, so all of it is spared.
    const isSmall = ground.width < SMALL_GROUND.width && ground.height < SMALL_GROUND.height;
    const box = isSmall ? ground : (tries.find((each) => marks.isFree(each)) ?? tries[0]);
    if (!box) continue;
    spared.all.take(box);
    if (share >= MAIN_SPARED) spared.main.take(box);
  }
  return spared;
}
const LEAST_SPARED = 0.01;
const MAIN_SPARED = 0.1;
const NUMBER = { width: 40, height: 22 };
const SMALL_GROUND = { width: 100, height: 80 };

function groundBox(area: FlatArea, transform: Transform): Box {
  const { left, top, right, bottom } = boundsOf(area.flat(2).map((place) => toPixels(transform, place))) ?? NOWHERE;
  return { x: (left + right) / 2, y: (top + bottom) / 2, width: right - left, height: bottom - top };
}
const NOWHERE = { left: 0, top: 0, right: 0, bottom: 0 };
