import {
  type AreaGeometry,
  isOfKind,
  type Link,
  type Position,
  polygonsOf,
  type SiteMap,
  type Structure,
  type Zone,
} from '../site-map/index.ts';
import { type Bounds, boundsOf, type Flat, flatOf, metresPerFlat, positionOf } from './flat.ts';
import { labelSpots } from './label-spots.ts';
import { spacingOf } from './spacing.ts';

/** Rings of an area: for each polygon its outer ring, then its holes. */
export type FlatArea = Flat[][][];

export interface FlatZone {
  zone: Zone;
  area: FlatArea;
  /** Where its label may stand, best first. */
  spots: Flat[];
}

type Other = SiteMap['others'][number];

export interface FlatOther {
  id: string;
  kind: Other['properties']['kind'];
  name: string | null;
  /** Exactly one of these three says where it is. */
  area: FlatArea | null;
  path: Flat[] | null;
  at: Flat | null;
}

/** A yard laid flat once, so that drawing it at any size is one multiplication for each place. Origin: its middle. */
export interface FlatYard {
  zones: FlatZone[];
  structures: { structure: Structure; at: Flat }[];
  links: { link: Link; path: Flat[] }[];
  others: FlatOther[];
  /** Around everything but what is only surroundings, unless there is nothing else. */
  bounds: Bounds;
  /** Where the origin lies on the whole world's flat map. */
  middle: Flat;
  metresPerUnit: number;
  /** From a structure to its nearest neighbour, at the middle of all. */
  spacing: number;
}

/** Lays a yard flat. O(positions + zones × label grid). */
export function drawFlat(map: Omit<SiteMap, 'file'>): FlatYard {
  const lines = map.others.filter((other) => isOfKind(other, 'property-line'));
  const inner = [
    ...map.zones.flatMap(({ geometry }) => placesOf(geometry)),
    ...map.structures.map(({ position }) => position),
    ...map.links.flatMap(({ path }) => path),
    ...lines.flatMap(({ geometry }) => placesOf(geometry)),
  ];
  const places = inner.length > 0 ? inner : map.others.flatMap(({ geometry }) => placesOf(geometry));
  const around = boundsOf(places.map(flatOf)) ?? { left: 0, top: 0, right: 1, bottom: 1 };
  const middle: Flat = [(around.left + around.right) / 2, (around.top + around.bottom) / 2];
  const lay = (position: Position): Flat => {
    const [x, y] = flatOf(position);
    return [x - middle[0], y - middle[1]];
  };
  const layArea = (shape: AreaGeometry): FlatArea =>
    polygonsOf(shape).map((rings) => rings.map((ring) => ring.map(lay)));
  const structures = map.structures.map((structure) => ({ structure, at: lay(structure.position) }));
  const links = map.links.map((link) => ({ link, path: link.path.map(lay) }));
  const inTheWay = [...structures.map(({ at }) => at), ...links.flatMap(({ path }) => placesAlong(path))];
  return {
    zones: map.zones.map((zone) => {
      const area = layArea(zone.geometry);
      return { zone, area, spots: labelSpots(area, inTheWay) };
    }),
    structures,
    links,
    // Where water comes in from outside has no mark of its own and is not drawn.
    others: map.others.filter((other) => !isOfKind(other, 'run-on')).map((other) => flatOther(other, { lay, layArea })),
    bounds: {
      left: around.left - middle[0],
      right: around.right - middle[0],
      top: around.top - middle[1],
      bottom: around.bottom - middle[1],
    },
    middle,
    metresPerUnit: metresPerFlat(positionOf(middle)[1]),
    spacing: spacingOf(structures.map(({ at }) => at)),
  };
}

/** Places along a link, close enough together that a label keeps clear of all of it. */
function placesAlong(path: readonly Flat[]): Flat[] {
  return path.slice(1).flatMap(([x, y], at) => {
    const [ax, ay] = path[at];
    return Array.from({ length: LINK_STEPS }, (_, step): Flat => {
      const part = step / LINK_STEPS;
      return [ax + (x - ax) * part, ay + (y - ay) * part];
    });
  });
}
const LINK_STEPS = 10;

type Shape = AreaGeometry | Other['geometry'];

function placesOf(shape: Shape): Position[] {
  if (shape.type === 'Point') return [shape.coordinates];
  return shape.type === 'LineString' ? shape.coordinates : polygonsOf(shape).flat(2);
}

function flatOther(
  { id, geometry, properties }: Other,
  { lay, layArea }: { lay: (position: Position) => Flat; layArea: (shape: AreaGeometry) => FlatArea },
): FlatOther {
  const { kind, name = null } = properties;
  const nowhere = { area: null, path: null, at: null };
  if (geometry.type === 'Point') return { id, kind, name, ...nowhere, at: lay(geometry.coordinates) };
  if (geometry.type === 'LineString') return { id, kind, name, ...nowhere, path: geometry.coordinates.map(lay) };
  return { id, kind, name, ...nowhere, area: layArea(geometry) };
}
