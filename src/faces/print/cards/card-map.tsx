import type { ResponseCard } from '../../../block/index.ts';
import type { FlatYard, Room } from '../../../drawing/index.ts';
import {
  areaPath,
  type Box,
  chevronsAlong,
  Mark,
  pathOf,
  Surroundings,
  scaleLength,
  textWidth,
  toPixels,
  Walls,
} from '../../../drawing/index.ts';
import type { Binder } from '../binder.ts';
import { cutOut, type Drawn, MAP_WIDTH, MARKED, waysOf } from './cut-out.ts';
import { MapWords, roomFor } from './map-words.tsx';
import { BlockRing, ringsOf } from './rings.tsx';

const EVERY = 44;

/** The part of the yard that a card speaks of: the zone, the way of its oil, where to block it, kits and crew. */
export function CardMap({ card, binder, height }: { card: ResponseCard; binder: Binder; height: number }) {
  const drawn = cutOut(card, binder.flat, height);
  const { flat, zone, transform } = drawn;
  const rings = ringsOf(drawn);
  const room = roomFor(drawn, rings);
  const scale = scaleBar(drawn, binder, room);
  const ground = areaPath(zone.area, transform);
  const hatchId = `spill-${zone.zone.id.replace(/\W/g, '-')}`;
  return (
    <svg
      class="card-map"
      viewBox={`0 0 ${MAP_WIDTH} ${height}`}
      role="img"
      aria-label={binder.voice.say('cards.map-of', { zone: zone.zone.name })}
    >
      <defs>
        <pattern id={hatchId} width="8" height="8" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
          <path class="spill-hatch" d="M0 0V8" />
        </pattern>
      </defs>
      <Surroundings flat={flat} transform={transform} />
      {flat.zones.map((each) => (
        <path key={each.zone.id} class="zone-edge" d={areaPath(each.area, transform)} />
      ))}
      <path fill={`url(#${hatchId})`} fill-rule="evenodd" d={ground} />
      <Walls flat={flat} transform={transform} />
      <path class="spill-edge" d={ground} />
      <Ways {...drawn} />
      <Points {...drawn} />
      {rings.map((ring) => (
        <BlockRing key={ring.at} {...ring} />
      ))}
      <MapWords drawn={drawn} room={room} voice={binder.voice} />
      <Scale {...scale} />
    </svg>
  );
}

/** All links, and over them, thick and with chevrons, the way that the oil takes. */
function Ways({ card, flat, transform }: Drawn) {
  const ways = waysOf(card);
  const [taken, spared] = [true, false].map((isTaken) =>
    flat.links.filter(({ link }) => ways.has(link.id) === isTaken),
  );
  const chevrons = ({ path }: FlatYard['links'][number]) =>
    chevronsAlong(
      path.map((place) => toPixels(transform, place)),
      EVERY,
    );
  return (
    <g class="ways">
      {spared.map(({ link: { id, kind }, path }) => (
        <path key={id} class={`dry-way ${kind}`} d={pathOf(path, transform)} />
      ))}
      {taken.map((each) => (
        <g key={each.link.id} class="oil-path">
          <path class="oil-casing" d={pathOf(each.path, transform)} />
          <path class="oil-line" d={pathOf(each.path, transform)} />
          <path class="oil-chevrons" d={chevrons(each)} />
        </g>
      ))}
    </g>
  );
}

function Points({ flat, transform, size }: Drawn) {
  const marks = [
    ...flat.structures.map(({ structure: { id, kind }, at }) => ({ id, kind, at })),
    ...flat.others.flatMap(({ id, kind, at }) => (at && MARKED.includes(kind) ? [{ id, kind, at }] : [])),
  ];
  return (
    <g class="points">
      {marks.map(({ id, kind, at }) => {
        const [x, y] = toPixels(transform, at);
        return (
          <g key={id} transform={`translate(${x.toFixed(1)} ${y.toFixed(1)}) scale(${size.toFixed(2)})`}>
            <Mark kind={kind} />
          </g>
        );
      })}
    </g>
  );
}

const MOST_BAR = 90;
const BAR_HEIGHT = 32;
const FROM_EDGE = 5;

interface ScaleBar {
  pixels: number;
  label: string;
  box: Box;
}

/** A scale bar in the corner where it hides no mark and no way, if there is one. */
function scaleBar({ flat, transform, height }: Drawn, { voice }: Binder, room: Room): ScaleBar {
  const metresPerPixel = flat.metresPerUnit / transform.scale;
  const { pixels, label } = scaleLength(metresPerPixel, MOST_BAR, voice);
  const width = pixels + 44 + textWidth(label, 12);
  const [left, right] = [FROM_EDGE + width / 2, MAP_WIDTH - FROM_EDGE - width / 2];
  const [top, bottom] = [FROM_EDGE + BAR_HEIGHT / 2, height - FROM_EDGE - BAR_HEIGHT / 2];
  const corners = [
    [left, bottom],
    [right, bottom],
    [left, top],
    [right, top],
  ].map(([x, y]): Box => ({ x, y, width, height: BAR_HEIGHT }));
  const box =
    corners.find((each) => room.marks.isFree(each) && room.links.isFree(each)) ??
    corners.find((each) => room.marks.isFree(each)) ??
    corners[0];
  room.words.take(box);
  return { pixels, label, box };
}

/** The bar, and north, which is always up. */
function Scale({ pixels, label, box: { x, y, width } }: ScaleBar) {
  return (
    <g class="card-scale" transform={`translate(${(x - width / 2).toFixed(1)} ${(y - BAR_HEIGHT / 2).toFixed(1)})`}>
      <rect width={width.toFixed(1)} height={BAR_HEIGHT} />
      <path class="card-north" d="M12 4L19 25L12 20L5 25Z" />
      <path class="card-bar" d={`M30 14V23H${(30 + pixels).toFixed(1)}V14`} />
      <text x={(36 + pixels).toFixed(1)} y="23">
        {label}
      </text>
    </g>
  );
}
