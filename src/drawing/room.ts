import { type Box, TakenBoxes } from './boxes.ts';
import type { DrawnYard } from './drawn.ts';
import { type Flat, toPixels } from './flat.ts';
import { markSize, NAMED_FROM } from './mark-size.ts';
import { markReach } from './marks.tsx';
import { placesOf } from './places.ts';
import { planPlaces } from './plan-places.ts';

/**
 * What is still free on the drawing. Words never lie on words. They keep clear of marks and, if they can, of links:
 * a word on a link can still be read, so `links` is asked first and then given up.
 */
export interface Room {
  words: TakenBoxes;
  marks: TakenBoxes;
  links: TakenBoxes;
}

const LINK_WIDTH = 9;
const STEP = 12;

export function roomOf(drawn: DrawnYard): Room {
  const { flat, transform } = drawn;
  const room: Room = { words: new TakenBoxes(), marks: new TakenBoxes(), links: new TakenBoxes() };
  const size = markSize(flat, transform);
  const around = ([x, y]: Flat, reach: { width: number; height: number }): Box => ({
    x,
    y,
    width: reach.width * size,
    height: reach.height * size,
  });
  for (const { structure, at } of flat.structures) {
    room.marks.take(around(toPixels(transform, at), markReach(structure.kind)));
  }
  const others = size < NAMED_FROM ? [] : flat.others;
  for (const { at, kind } of others) if (at) room.marks.take(around(toPixels(transform, at), markReach(kind)));
  for (const box of signBoxes(drawn)) room.marks.take(box);
  for (const [from, to] of linesOf(drawn)) {
    for (const [x, y] of between(from, to)) room.links.take({ x, y, width: LINK_WIDTH, height: LINK_WIDTH });
  }
  return room;
}

/** Stretches of links, and the lines from kits to the zones they serve. */
function linesOf(drawn: DrawnYard): [Flat, Flat][] {
  const { flat, transform } = drawn;
  const places = placesOf(drawn);
  return [
    ...flat.links.flatMap(({ path }) =>
      path.slice(1).map((end, at): [Flat, Flat] => [toPixels(transform, path[at]), toPixels(transform, end)]),
    ),
    ...planPlaces(drawn).kits.flatMap(({ place, serves }) =>
      serves.map((zone): [Flat, Flat] => [place, places.get(zone) ?? place]),
    ),
  ];
}

/** What stands over the marks: the drop where oil was seen, tabs of lids, rings to act at. */
function signBoxes(drawn: DrawnYard): Box[] {
  const { flat, seen, looks, lids, here, acts, spillAt, transform } = drawn;
  const boxes: Box[] = [];
  const boxAt = ([x, y]: Flat, size: number): Box => ({ x, y, width: size, height: size });
  if (here) boxes.push(boxAt(toPixels(transform, here), 28));
  const places = placesOf(drawn);
  for (const { zone } of flat.zones) {
    const place = looks.some(({ at }) => at === zone.id) ? places.get(zone.id) : undefined;
    if (place) boxes.push(boxAt(place, 24));
  }
  const { kits, measures, size } = planPlaces(drawn);
  for (const { place, serves } of kits) {
    boxes.push(boxAt(place, 28));
    for (const zone of serves) boxes.push(boxAt(places.get(zone) ?? place, 10));
  }
  for (const { place } of measures) boxes.push(boxAt(place, 28 * size));
  const signed = new Set([...lids, ...looks.map(({ at }) => at), ...(seen ? [seen.at] : [])]);
  const controls = new Set(acts.map(({ at }) => at));
  if (spillAt) boxes.push(boxAt(toPixels(transform, spillAt), 30));
  for (const { structure, at } of flat.structures) {
    const [x, y] = toPixels(transform, at);
    if (signed.has(structure.id)) boxes.push({ x, y: y - 16, width: 22, height: 24 });
    if (controls.has(structure.id)) boxes.push({ x, y, width: 42, height: 42 });
  }
  return boxes;
}

function between([ax, ay]: Flat, [bx, by]: Flat): Flat[] {
  const steps = Math.min(200, Math.max(1, Math.ceil(Math.hypot(bx - ax, by - ay) / STEP)));
  return Array.from(
    { length: steps + 1 },
    (_, step): Flat => [ax + ((bx - ax) * step) / steps, ay + ((by - ay) * step) / steps],
  );
}

/** Clear of everything, links included. */
export const isClear = ({ words, marks, links }: Room, box: Box): boolean =>
  words.isFree(box) && marks.isFree(box) && links.isFree(box);

/** Clear of words and marks. */
export const isReadable = ({ words, marks }: Room, box: Box): boolean => words.isFree(box) && marks.isFree(box);
