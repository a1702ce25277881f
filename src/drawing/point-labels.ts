import { type Box, textWidth } from './boxes.ts';
import type { Flat } from './flat.ts';
import { isClear, isReadable, type Room } from './room.ts';

export interface PointLabel {
  text: string;
  x: number;
  y: number;
  anchor: 'start' | 'middle' | 'end';
  /** Minutes until oil is there, where it gets there. */
  minutes?: number;
}

const SIZE_PX = 13;
const HEIGHT = 16;
/** From the middle of a mark of full size to the near edge of its label. */
const GAP = 14;

const boxFor = (text: string, [x, y]: Flat): Box => ({ x, y, width: textWidth(text, SIZE_PX) + 4, height: HEIGHT });

/** Places a label beside its mark: right, left, below, above, on whichever side it hides least; null where it finds no room that `isGood`. */
export function placePointLabel(text: string, [x, y]: Flat, room: Room, isGood = isReadable): PointLabel | null {
  const half = GAP + 2 + boxFor(text, [x, y]).width / 2;
  const sides: { box: Box; label: PointLabel }[] = [
    { box: boxFor(text, [x + half, y]), label: { text, x: x + GAP, y, anchor: 'start' } },
    { box: boxFor(text, [x - half, y]), label: { text, x: x - GAP, y, anchor: 'end' } },
    { box: boxFor(text, [x, y + GAP + 6]), label: { text, x, y: y + GAP + 6, anchor: 'middle' } },
    { box: boxFor(text, [x, y - GAP - 6]), label: { text, x, y: y - GAP - 6, anchor: 'middle' } },
    ...[1, -1].flatMap((right) =>
      [1, -1].map((down) => {
        const at: Flat = [x + right * (half - 4), y + down * GAP];
        const anchor: PointLabel['anchor'] = right > 0 ? 'start' : 'end';
        return { box: boxFor(text, at), label: { text, x: x + right * (GAP - 4), y: at[1], anchor } };
      }),
    ),
  ];
  const free = sides.find(({ box }) => isClear(room, box)) ?? sides.find(({ box }) => isGood(room, box));
  if (!free) return null;
  room.words.take(free.box);
  return free.label;
}

/** Places a label on the first of some spots that is free, centred there; null where none is. */
export function placeCentredLabel(text: string, spots: readonly Flat[], room: Room): PointLabel | null {
  const spot = spots.find((each) => isClear(room, boxFor(text, each)));
  if (!spot) return null;
  room.words.take(boxFor(text, spot));
  return { text, x: spot[0], y: spot[1], anchor: 'middle' };
}
