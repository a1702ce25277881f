import { isInside } from '../algorithms/index.ts';
import type { Voice } from '../catalogue/index.ts';
import { type Box, textWidth } from './boxes.ts';
import { type Flat, type Transform, toPixels } from './flat.ts';
import type { FlatZone } from './flat-yard.ts';
import { isClear, isReadable, type Room } from './room.ts';

export interface ZoneLabel {
  id: string;
  x: number;
  /** Top of the label; its lines follow downwards. */
  top: number;
  lines: { text: string; kind: 'number' | 'name' | 'round' }[];
}

export const LINE_PX = { number: 20, name: 16, round: 15 } as const;
const SIZE_PX = { number: 17, name: 14, round: 14 } as const;
/** On a small map numbers are written smaller. */
const SMALL_NUMBER_PX = 14;

/** A name broken at the space nearest its middle; in one piece where it has none. */
export function breakName(name: string): string[] {
  const spaces = [...name].flatMap((letter, at) => (letter === ' ' ? [at] : []));
  if (spaces.length === 0) return [name];
  const middle = name.length / 2;
  const at = spaces.reduce((best, space) => (Math.abs(space - middle) < Math.abs(best - middle) ? space : best));
  return [name.slice(0, at), name.slice(at + 1)];
}

/**
 * What a label may say, from the most to the least. The number stays longest; the words "goes round" are a warning and
 * outlive the name.
 */
function variantsOf(
  name: string,
  { share, goesRound }: Pick<LabelledZone, 'share' | 'goesRound'>,
  voice: Voice,
): ZoneLabel['lines'][] {
  const number = share === null ? [] : [{ text: voice.text({ share }), kind: 'number' as const }];
  const round = goesRound ? [{ text: voice.say('drawing.goes-round'), kind: 'round' as const }] : [];
  const names = (parts: string[]) => parts.map((text) => ({ text, kind: 'name' as const }));
  const named = [
    [...number, ...names([name]), ...round],
    [...number, ...names(breakName(name)), ...round],
  ];
  const short = [[...number, ...round], number];
  return [...named, ...short].filter((lines) => lines.length > 0);
}

export interface LabelledZone extends FlatZone {
  /** null: no number stands in it, because no oil of it can be where it was found. */
  share: number | null;
  goesRound: boolean;
}

/**
 * Places each zone's label inside it where there is room, clear of marks and of other labels, largest share first. A
 * zone too small on screen loses its name first; its number is dropped only where it would lie on another label.
 */
export function placeZoneLabels(
  zones: readonly LabelledZone[],
  { transform, room, isSmall = false }: { transform: Transform; room: Room; isSmall?: boolean },
  voice: Voice,
): ZoneLabel[] {
  const inOrder = [...zones].sort((a, b) => (b.share ?? -1) - (a.share ?? -1));
  const labels: ZoneLabel[] = [];
  for (const each of inOrder) {
    const rings = each.area.flat().map((ring) => ring.map((place) => toPixels(transform, place)));
    const spots = each.spots.map((spot) => toPixels(transform, spot));
    const placed = placeOne(each, { rings, spots, room, isSmall }, voice);
    if (placed) labels.push(placed);
  }
  return labels;
}

function placeOne(
  { zone, share, goesRound }: LabelledZone,
  { rings, spots, room, isSmall }: { rings: Flat[][]; spots: Flat[]; room: Room; isSmall: boolean },
  voice: Voice,
): ZoneLabel | null {
  const take = (box: Box, lines: ZoneLabel['lines']): ZoneLabel => {
    room.words.take(box);
    return { id: zone.id, x: box.x, top: box.y - box.height / 2, lines };
  };
  const variants = variantsOf(zone.name, { share, goesRound }, voice);
  const placeIn = (lines: ZoneLabel['lines'], isGood: typeof isClear) =>
    spots.map((spot) => boxOf(lines, spot, isSmall)).find((box) => isGood(room, box) && fitsInside(rings, box));
  for (const lines of variants) {
    // Off the links where possible; a name that lies on one is still better than none.
    const box = placeIn(lines, isClear) ?? placeIn(lines, isReadable);
    if (box) return take(box, lines);
  }
  // A number may even lie on a mark or over the edge, but never on other words.
  if (share === null) return null;
  const number = variants[variants.length - 1];
  const boxes = spots.map((spot) => boxOf(number, spot, isSmall));
  const box = boxes.find((each) => isReadable(room, each)) ?? boxes.find((each) => room.words.isFree(each));
  return box ? take(box, number) : null;
}

function boxOf(lines: ZoneLabel['lines'], [x, y]: Flat, isSmall: boolean): Box {
  const size = isSmall ? { ...SIZE_PX, number: SMALL_NUMBER_PX } : SIZE_PX;
  const width = Math.max(...lines.map(({ text, kind }) => textWidth(text, size[kind])));
  return { x, y, width: width + 6, height: lines.reduce((sum, { kind }) => sum + LINE_PX[kind], 2) };
}

function fitsInside(rings: Flat[][], { x, y, width, height }: Box): boolean {
  const [halfWidth, halfHeight] = [width / 2, height / 2];
  return [-1, -0.5, 0, 0.5, 1].every((across) =>
    [-1, 0, 1].every((down) => isInside(rings, [x + across * halfWidth, y + down * halfHeight])),
  );
}
