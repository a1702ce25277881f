import { isInside } from '../algorithms/index.ts';
import { lengthOf, metreFrame, type Point } from './measure.ts';
import { isOfKind, polygonsOf, type SiteMap, type Zone } from './model.ts';
import type { Feature, Position } from './schema.ts';
import type { DrawnBuilding } from './walls.ts';
import { waysRound } from './ways-round.ts';

/** A brisk walk in a yard, and how much longer a way is than the straight line where no building is drawn. Both guesses. */
const DEFAULT_SPEED_MPS = 1.2;
const DEFAULT_DETOUR = 1.25;

/** The ground of a yard as somebody on foot meets it. */
export interface WalkingGround {
  /**
   * Minutes on foot from one place to each of the others, in their order; infinite where there is no way to walk there.
   * Places are [longitude, latitude].
   */
  minutesFrom(start: Position, ends: readonly Position[]): number[];
  /** The way itself to one place: its minutes, and its points from start to end; none where there is no way. */
  wayFrom(start: Position, end: Position): { minutes: number; path: Position[] };
}

/**
 * Makes the ground of a map ready to be asked how long one walks, at `site.walking.speedMps` (1.2). A map without
 * buildings: the geodesic distance × `site.walking.detour` (1.25). With buildings: the shortest way round them, and no
 * detour factor. A way may touch walls and may not cross ground that a building stands on, nor a building drawn as a
 * line (a wall); nobody passes where two walls touch, within 5 cm. A place inside a building leaves it straight through
 * whichever of its walls is best, since doors are not drawn. A courtyard has no way in.
 *
 * Times are the same both ways. Ask for many ends at once: one start costs one search (see `waysRound`). The speed and
 * the detour are guesses, so times are rough; hills, gates, fences and traffic are not counted.
 */
export function walkingGround({ site, others }: Pick<SiteMap, 'site' | 'others'>): WalkingGround {
  const { speedMps = DEFAULT_SPEED_MPS, detour = DEFAULT_DETOUR } = site.walking ?? {};
  const buildings = others.flatMap((each) => (isOfKind(each, 'building') ? [each.geometry] : []));
  const minutes = (metres: number) => metres / speedMps / 60;
  if (buildings.length === 0) {
    const straight = (start: Position, end: Position) => minutes(lengthOf([start, end]) * detour);
    return {
      minutesFrom: (start, ends) => ends.map((end) => straight(start, end)),
      wayFrom: (start, end) => ({ minutes: straight(start, end), path: [start, end] }),
    };
  }
  const frame = metreFrame(linesOf(buildings[0])[0][0]);
  const lay = (line: readonly Position[]) => line.map((at): Point => frame.toMetres(at));
  const drawn = buildings.map(
    (shape): DrawnBuilding => ({ lines: linesOf(shape).map(lay), isSolid: shape.type !== 'LineString' }),
  );
  const ways = waysRound(drawn);
  return {
    minutesFrom: (start, ends) => ways.metresTo(frame.toMetres(start), lay(ends)).map(minutes),
    wayFrom: (start, end) => {
      const { metres, path } = ways.wayTo(frame.toMetres(start), frame.toMetres(end));
      const bends = path.slice(1, -1).map((at) => frame.toPosition(at));
      return { minutes: minutes(metres), path: path.length > 0 ? [start, ...bends, end] : [] };
    },
  };
}

type Shape = Feature<'building'>['geometry'];

/** Every line that a shape is drawn with; rings come back to where they began. */
function linesOf(shape: Shape): Position[][] {
  if (shape.type === 'LineString') return [shape.coordinates];
  return polygonsOf(shape)
    .flat()
    .map((ring) => [...ring, ring[0]]);
}

/**
 * Where somebody stands who is at a structure, a kit, a kit spot, a crew post or a zone (see `middleOfZone`); null for
 * anything else.
 */
export function walkerPosition(map: Pick<SiteMap, 'structures' | 'zones' | 'others'>, id: string): Position | null {
  const structure = map.structures.find((each) => each.id === id);
  if (structure) return structure.position;
  const zone = map.zones.find((each) => each.id === id);
  if (zone) return middleOfZone(zone);
  const other = map.others.find((each) => each.id === id);
  return other?.geometry.type === 'Point' ? other.geometry.coordinates : null;
}

/**
 * Where somebody stands who is in a zone: the centroid of its largest part, or, where that lies outside, the middle of the
 * widest ground beside it. For many zones of one yard a frame made once saves most of the time. O(positions).
 */
export function middleOfZone({ geometry }: Zone, frame = metreFrame(polygonsOf(geometry)[0][0][0])): Position {
  const polygons = polygonsOf(geometry).map((rings) =>
    rings.map((ring) => ring.map((at): Point => frame.toMetres(at))),
  );
  const [largest] = polygons.map((rings) => ({ rings, ...momentsOf(rings) })).sort((a, b) => b.area - a.area);
  // Ground without area is a line or a point: any place on it will do.
  if (largest.area === 0) return frame.toPosition(largest.rings[0][0]);
  const { rings, centroid } = largest;
  return frame.toPosition(isInside(rings, centroid) ? centroid : widestBeside(rings, centroid));
}

/**
 * Area and centroid of rings, the first the outer one, the rest holes. Each edge makes a triangle with the origin, of
 * area half its cross product and centroid a third of the sum of its ends; with their signs they add up to the ring.
 * The first point stands in for the centroid of a ring without area. O(positions).
 */
function momentsOf(rings: readonly Point[][]): { area: number; centroid: Point } {
  let [area, x, y] = [0, 0, 0];
  rings.forEach((ring, index) => {
    let [twice, sumX, sumY] = [0, 0, 0];
    for (let at = 0, before = ring.length - 1; at < ring.length; before = at++) {
      const [[ax, ay], [bx, by]] = [ring[before], ring[at]];
      const cross = ax * by - bx * ay;
      twice += cross;
      sumX += (ax + bx) * cross;
      sumY += (ay + by) * cross;
    }
    // Whichever way a ring winds, the outer one counts and holes are taken off.
    const sign = Math.sign(twice) * (index === 0 ? 1 : -1);
    area += (sign * twice) / 2;
    x += sign * sumX;
    y += sign * sumY;
  });
  return area > 0 ? { area, centroid: [x / (6 * area), y / (6 * area)] } : { area: 0, centroid: rings[0][0] };
}

/**
 * The middle of the widest stretch inside, on the line that runs west to east through a point. Sorted, the edges that
 * cross the line come in pairs, in and out; an edge counts for one of its ends only, so a corner on the line is not
 * counted twice. O(positions), and sorting what crosses.
 */
function widestBeside(rings: readonly Point[][], [, y]: Point): Point {
  const crossings = rings
    .flatMap((ring) =>
      ring.flatMap(([bx, by], at) => {
        const [ax, ay] = ring[(at + ring.length - 1) % ring.length];
        return ay > y !== by > y ? [ax + ((bx - ax) * (y - ay)) / (by - ay)] : [];
      }),
    )
    .sort((a, b) => a - b);
  let best = 0;
  for (let at = 0; at + 1 < crossings.length; at += 2) {
    if (crossings[at + 1] - crossings[at] > crossings[best + 1] - crossings[best]) best = at;
  }
  return [(crossings[best] + crossings[best + 1]) / 2, y];
}
