import type { Voice } from '../../../catalogue/index.ts';
import {
  type Box,
  type Flat,
  isClear,
  markReach,
  type PointLabel,
  placeCentredLabel,
  placePointLabel,
  type Room,
  TakenBoxes,
  textWidth,
  toPixels,
} from '../../../drawing/index.ts';
import type { Structure } from '../../../site-map/index.ts';
import { shortened } from '../binder.ts';
import { soonestWords } from './card-words.ts';
import { type Drawn, MAP_WIDTH, MARKED, waysOf } from './cut-out.ts';
import { RING_ROOM, type Ring } from './rings.tsx';

/** Where oil gets to is written strongest, what lies beside its way lighter. */
const LOOK_PX = { 'zone-here': 16, 'point-here': 13, 'point-by': 12, 'place-by': 12 } as const;

interface CardLabel extends PointLabel {
  look: keyof typeof LOOK_PX;
}

/** Everything that is written on a card's map, in what room there is. */
export function MapWords({ drawn, room, voice }: { drawn: Drawn; room: Room; voice: Voice }) {
  return (
    <g class="words">
      {labelsFor(drawn, room, voice).map((label) => (
        <Label key={`${label.look} ${label.text}`} {...label} />
      ))}
    </g>
  );
}

/** Words on a white ground: an outline round each letter would make a print many times as large. */
function Label({ text, look, x, y, anchor }: CardLabel) {
  const width = textWidth(text, LOOK_PX[look]) + 3;
  const left = { start: x - 1.5, middle: x - width / 2, end: x + 1.5 - width }[anchor];
  return (
    <>
      <rect class="label-ground" x={left.toFixed(1)} y={(y - 6.5).toFixed(1)} width={width.toFixed(1)} height="13" />
      <text class={look} x={x.toFixed(1)} y={(y + 4.5).toFixed(1)} text-anchor={anchor}>
        {text}
      </text>
    </>
  );
}

/** What matters most is placed first; what finds no room is left out. */
function labelsFor({ card, flat, zone, transform }: Drawn, room: Room, voice: Voice): CardLabel[] {
  const pixels = (place: Flat) => toPixels(transform, place);
  const reached = new Map(card.dry.arrivals.map(({ id, minutes }) => [id, minutes]));
  const look = (label: PointLabel | null, name: CardLabel['look']): CardLabel[] =>
    label ? [{ ...label, look: name }] : [];
  const beside = ({ id }: Structure, at: Flat): CardLabel[] => {
    const minutes = reached.get(id);
    if (minutes === undefined) return look(placePointLabel(id, pixels(at), room, isClear), 'point-by');
    const timed = placePointLabel(`${id} ${soonestWords(minutes, voice)}`, pixels(at), room);
    return look(timed ?? placePointLabel(id, pixels(at), room), 'point-here');
  };
  const inOrder = [...flat.structures].sort((a, b) => rank(reached, a.structure) - rank(reached, b.structure));
  return [
    ...look(
      placeCentredLabel(shortened(zone.zone.name), zone.spots.map(pixels), room) ??
        placePointLabel(shortened(zone.zone.name), pixels(zone.spots[0] ?? zone.area[0][0][0]), room),
      'zone-here',
    ),
    ...flat.others.flatMap(({ name, id, kind, at }) =>
      at && MARKED.includes(kind) ? look(placePointLabel(shortened(name ?? id), pixels(at), room), 'point-here') : [],
    ),
    ...inOrder.flatMap(({ structure, at }) => beside(structure, at)),
    ...flat.zones.flatMap(({ zone: { id, name }, spots }) =>
      id === zone.zone.id ? [] : look(placeCentredLabel(shortened(name), spots.map(pixels), room), 'place-by'),
    ),
  ];
}

/** Separators and outfalls on the oil's way are named first, then the rest of the way, then everything else. */
function rank(reached: ReadonlyMap<string, number>, { id, kind }: Structure): number {
  if (!reached.has(id)) return 2;
  return kind === 'separator' || kind === 'outfall' ? 0 : 1;
}

/** What of the drawing is free of marks, rings and ways; words stay inside the frame. */
export function roomFor({ card, flat, transform, size, height }: Drawn, rings: readonly Ring[]): Room {
  const room: Room = { words: new TakenBoxes(), marks: new TakenBoxes(), links: new TakenBoxes() };
  const boxAt = (place: Flat, { width, height: high }: { width: number; height: number }): Box => {
    const [x, y] = toPixels(transform, place);
    return { x, y, width: width * size, height: high * size };
  };
  for (const { structure, at } of flat.structures) room.marks.take(boxAt(at, markReach(structure.kind)));
  for (const { at, kind } of flat.others) if (at && MARKED.includes(kind)) room.marks.take(boxAt(at, markReach(kind)));
  for (const { place, badge } of rings) {
    room.marks.take({ x: place[0], y: place[1], width: RING_ROOM, height: RING_ROOM });
    room.marks.take(badge);
  }
  const ways = waysOf(card);
  for (const { link, path } of flat.links) {
    const width = ways.has(link.id) ? OIL_WIDTH : LINK_WIDTH;
    for (const [x, y] of along(path.map((place) => toPixels(transform, place)))) {
      room.links.take({ x, y, width, height: width });
    }
  }
  for (const edge of outside(height)) room.words.take(edge);
  return room;
}

const OIL_WIDTH = 12;
const LINK_WIDTH = 4;
const STEP = 9;

/** Places along a path in pixels, close together. */
function along(path: readonly Flat[]): Flat[] {
  return path.slice(1).flatMap(([x, y], at) => {
    const [ax, ay] = path[at];
    const count = Math.min(200, Math.max(1, Math.ceil(Math.hypot(x - ax, y - ay) / STEP)));
    return Array.from(
      { length: count + 1 },
      (_, step): Flat => [ax + ((x - ax) * step) / count, ay + ((y - ay) * step) / count],
    );
  });
}

/** Beyond the frame. */
function outside(height: number): Box[] {
  const [across, down, wide] = [MAP_WIDTH / 2, height / 2, 44];
  return [
    { x: across, y: -20, width: MAP_WIDTH + 80, height: wide },
    { x: across, y: height + 20, width: MAP_WIDTH + 80, height: wide },
    { x: -20, y: down, width: wide, height: height + 80 },
    { x: MAP_WIDTH + 20, y: down, width: wide, height: height + 80 },
  ];
}
