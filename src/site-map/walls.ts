import Flatbush from 'flatbush';
import { isInside, nearestOnSegment } from '../algorithms/index.ts';
import type { Point } from './measure.ts';

/** What a building is drawn with, in metres: rings that close ground in (holes are open ground), or a line of wall. */
export interface DrawnBuilding {
  lines: Point[][];
  isSolid: boolean;
}

/** A stretch of wall between two corners, by their numbers. */
interface Wall {
  from: number;
  to: number;
  building: number;
}

/** Ground beside a corner that can be walked on: open from the wall to `fromEnd` counterclockwise to the wall to `toEnd`. */
export interface OpenSide {
  corner: number;
  at: Point;
  /** Radians; `to` is above `from` by at most a full turn. And the same two directions as unit vectors. */
  from: number;
  to: number;
  fromWay: Point;
  toWay: Point;
  fromEnd: number;
  toEnd: number;
}

/** Somewhere to set out from or to arrive at, and the buildings that it stands in. */
export interface Foothold {
  at: Point;
  inside: readonly number[];
}

/** Where a straight stretch of a way begins or ends: at a corner, by its number, or at a place (−1). */
export interface Stop extends Foothold {
  corner: number;
}

/** Walls nearer to each other than this touch: maps are written to about a centimetre, and nobody fits through. */
const TOUCHING_M = 0.05;
/** How far off a wall one stands who stands at it. */
const BESIDE_M = 0.001;
/** A line that passes a corner within this runs into it. */
const GRAZE_M = 1e-6;
/**
 * A corner can be on a shortest way only where the open ground beside it turns through half a circle, within this, in
 * radians. Joining points moves walls by centimetres, so a straight wall of short pieces may seem to bend either way.
 */
export const STRAIGHT_SLACK = 0.1;
/** Walls that stand at a smaller angle than this, in radians, leave nobody between them. */
const NARROW = 1e-3;

/**
 * The walls of all buildings as one web of corners: where walls touch they share a corner. Nobody passes through a wall
 * or where two walls touch. O(corners · log(corners) + crossings of nearby walls).
 *
 * Everything is in metres in one flat frame. Maps are drawn by hand: walls that are meant to touch miss each other by
 * centimetres, and a line through such a gap would be the shortest way. So points within 5 cm are made one corner, and
 * a corner within 5 cm of a wall is put into it; after that walls meet at shared corners, but for walls that cross in
 * their middles, which need none: no shortest way bends there.
 */
export class Walls {
  readonly corners: readonly Point[];
  /** Corners at the other end of the walls that begin at each corner. */
  readonly ends: readonly number[][];
  /** Buildings that each corner belongs to. */
  readonly buildingsAt: readonly ReadonlySet<number>[];
  private readonly walls: Wall[] = [];
  private readonly grounds: { building: number; rings: Point[][]; box: Box }[] = [];
  private readonly near: Flatbush | null;
  /**
   * Metres of a straight line that are looked at together: about the distance between walls, which is what the size of
   * the yard comes to when its walls are spread evenly. It changes how fast an answer is and never the answer.
   */
  private readonly pieceM: number;

  constructor(buildings: readonly DrawnBuilding[]) {
    const drawn = buildings.flatMap(({ lines }) => lines.flat());
    const cornerOf = joinPoints(drawn);
    this.corners = drawn;
    const ends = drawn.map(() => new Set<number>());
    const buildingsAt = drawn.map(() => new Set<number>());
    const through = cornersOnTheWay(drawn, cornerOf);
    let first = 0;
    buildings.forEach(({ lines, isSolid }, building) => {
      const rings = lines.map((line) => {
        const corners = through(line.map((_, at) => cornerOf[first + at]));
        first += line.length;
        for (let at = 1; at < corners.length; at++) {
          const [from, to] = [corners[at - 1], corners[at]];
          this.walls.push({ from, to, building });
          ends[from].add(to);
          ends[to].add(from);
        }
        for (const corner of corners) buildingsAt[corner].add(building);
        return corners.map((corner) => drawn[corner]);
      });
      if (isSolid) this.grounds.push({ building, rings, box: boxOf(rings.flat()) });
    });
    this.ends = ends.map((each) => [...each]);
    this.buildingsAt = buildingsAt;
    this.near = indexOf(this.walls.map(({ from, to }) => boxOf([drawn[from], drawn[to]])));
    const [minX, minY, maxX, maxY] = boxOf(drawn);
    this.pieceM = Math.hypot(maxX - minX, maxY - minY) / Math.sqrt(this.walls.length);
  }

  /**
   * Buildings whose ground a point is on. A wall drawn as a line has no ground, and a courtyard is none of its
   * building's.
   */
  private groundsAt(point: Point): number[] {
    return this.grounds
      .filter(({ box, rings }) => isIn(box, point) && isInside(rings, point))
      .map(({ building }) => building);
  }

  /**
   * The open ground at each corner that a shortest way could turn round. A way that bends where the open ground turns
   * through less than half a circle could be cut short across that ground, so no shortest way does. O(rays at corners),
   * with a look at the buildings for each.
   */
  openSides(): OpenSide[] {
    return this.corners.flatMap((_, corner) =>
      this.sidesOf(corner).filter(({ from, to }) => to - from >= Math.PI - STRAIGHT_SLACK),
    );
  }

  /**
   * The open ground at a corner, side by side: between each wall that begins there and the next one counterclockwise. A
   * single wall has one side, all the way round its end. Whether a side is open is tried at a point on its bisector,
   * which is as far from both walls as can be.
   */
  private sidesOf(corner: number): OpenSide[] {
    const at = this.corners[corner];
    const rays = this.ends[corner]
      .map((end) => ({ end, angle: angleTo(at, this.corners[end]) }))
      .sort((a, b) => a.angle - b.angle);
    return rays.flatMap(({ end, angle: from }, index) => {
      const next = rays[(index + 1) % rays.length];
      const to = index + 1 < rays.length ? next.angle : next.angle + 2 * Math.PI;
      const [fromWay, toWay] = [from, to].map((way): Point => [Math.cos(way), Math.sin(way)]);
      const side = { corner, at, from, to, fromWay, toWay, fromEnd: end, toEnd: next.end };
      return to - from < NARROW || this.groundsAt(besideCorner(side)).length > 0 ? [] : [side];
    });
  }

  /**
   * Where one can stand at a place: beside the wall or corner it touches, on every side that is open; else right there.
   * A place that is drawn on a wall belongs to no side of it, so it is moved off by a millimetre; one that touches
   * walls with no open side counts as inside their buildings, and can leave them. There is always one foothold at
   * least.
   */
  footholds(place: Point): Foothold[] {
    const touched = this.wallsNear(place);
    const corner = touched
      .flatMap(({ from, to }) => [from, to])
      .find((each) => distance(this.corners[each], place) <= TOUCHING_M);
    const open =
      corner === undefined
        ? touched.flatMap((wall) => this.besideWall(wall, place))
        : this.sidesOf(corner).map(besideCorner);
    if (open.length > 0) return open.map((at) => ({ at, inside: [] }));
    return [
      { at: place, inside: [...new Set([...this.groundsAt(place), ...touched.map(({ building }) => building)])] },
    ];
  }

  private wallsNear([x, y]: Point): Wall[] {
    const box = [x - TOUCHING_M, y - TOUCHING_M, x + TOUCHING_M, y + TOUCHING_M] as const;
    return (this.near?.search(...box) ?? [])
      .map((at) => this.walls[at])
      .filter(({ from, to }) => nearestOnSegment([x, y], this.corners[from], this.corners[to]).distance <= TOUCHING_M);
  }

  private besideWall({ from, to }: Wall, place: Point): Point[] {
    const [a, b] = [this.corners[from], this.corners[to]];
    const [x, y] = nearestOnSegment(place, a, b).at;
    const part = BESIDE_M / distance(a, b);
    const [dx, dy] = [(b[0] - a[0]) * part, (b[1] - a[1]) * part];
    const sides: Point[] = [
      [x - dy, y + dx],
      [x + dy, y - dx],
    ];
    return sides.filter((at) => this.groundsAt(at).length === 0);
  }

  /**
   * Whether one can walk straight from one place to the other. The building one stands in is left through its wall,
   * once; two places in one building see each other. Looked at piece by piece, since what is in the way is mostly near:
   * the box round a long slanting line holds most of the yard, those round its pieces only what is near it.
   * O(walls near the line · log(walls)).
   */
  isClear(from: Stop, to: Stop): boolean {
    const [p, q] = [from.at, to.at];
    const left = new Map<number, number>();
    const stops = (wall: number) => this.stops(wall, { from, to, left });
    const pieces = Math.ceil(distance(p, q) / this.pieceM) || 1;
    const dx = (q[0] - p[0]) / pieces;
    const dy = (q[1] - p[1]) / pieces;
    for (let piece = 0; piece < pieces; piece++) {
      const x = p[0] + dx * piece;
      const y = p[1] + dy * piece;
      const [minX, minY] = [Math.min(x, x + dx), Math.min(y, y + dy)];
      if (this.near?.collides(minX, minY, minX + Math.abs(dx), minY + Math.abs(dy), stops)) return false;
    }
    return true;
  }

  /**
   * Whether a wall is in the way. `left` keeps the buildings that were left so far, with the wall they were left by.
   *
   * Line and wall cross in their middles where the ends of each lie on different sides of the other, which the signs of
   * four cross products say. A line through a corner crosses neither of its walls by those signs, so that is looked at
   * first: a corner on the line is in the way, unless the line begins or ends there. Along a wall of its own corner a
   * line crosses nothing. In the building that one stands in a second wall stops, since it is left once.
   */
  private stops(wall: number, { from, to, left }: { from: Stop; to: Stop; left: Map<number, number> }): boolean {
    const { from: a, to: b, building } = this.walls[wall];
    const isFromHere = from.inside.includes(building);
    const isToHere = to.inside.includes(building);
    if (isFromHere && isToHere) return false;
    const isOwn = isFromHere || isToHere;
    const atA = this.corners[a];
    const atB = this.corners[b];
    const sideA = sideOf(from.at, to.at, atA);
    const sideB = sideOf(from.at, to.at, atB);
    const isEndA = a === from.corner || a === to.corner;
    const isEndB = b === from.corner || b === to.corner;
    if (!isOwn) {
      const close = GRAZE_M * distance(from.at, to.at);
      if (Math.abs(sideA) <= close && !isEndA && isBetween(from.at, to.at, atA)) return true;
      if (Math.abs(sideB) <= close && !isEndB && isBetween(from.at, to.at, atB)) return true;
    }
    if (isEndA || isEndB || sideA * sideB >= 0) return false;
    if (sideOf(atA, atB, from.at) * sideOf(atA, atB, to.at) >= 0) return false;
    if (!isOwn || (left.get(building) ?? wall) !== wall) return true;
    left.set(building, wall);
    return false;
  }
}

/**
 * A place at a corner, on one of its open sides, a millimetre clear of both walls: farther out the sharper the corner.
 */
function besideCorner({ at: [x, y], from, to }: OpenSide): Point {
  const middle = (from + to) / 2;
  const off = BESIDE_M / Math.sin(Math.min(Math.PI, to - from) / 2);
  return [x + off * Math.cos(middle), y + off * Math.sin(middle)];
}

type Box = readonly [minX: number, minY: number, maxX: number, maxY: number];

function boxOf(points: readonly Point[], margin = 0): Box {
  let [minX, minY, maxX, maxY] = [Infinity, Infinity, -Infinity, -Infinity];
  for (const [x, y] of points) {
    minX = Math.min(minX, x);
    minY = Math.min(minY, y);
    maxX = Math.max(maxX, x);
    maxY = Math.max(maxY, y);
  }
  return [minX - margin, minY - margin, maxX + margin, maxY + margin];
}

const isIn = ([minX, minY, maxX, maxY]: Box, [x, y]: Point) => minX <= x && x <= maxX && minY <= y && y <= maxY;

function indexOf(boxes: readonly Box[]): Flatbush | null {
  if (boxes.length === 0) return null;
  const index = new Flatbush(boxes.length);
  for (const box of boxes) index.add(...box);
  index.finish();
  return index;
}

/**
 * For each point the first one that lies within touching distance: itself where there is none. Points join only a first
 * one, not each other, so a row of points 4 cm apart does not shrink to one. O(points · log(points)).
 */
function joinPoints(points: readonly Point[]): number[] {
  const index = indexOf(points.map((point) => boxOf([point])));
  const joined: number[] = points.map(() => -1);
  points.forEach((point, at) => {
    if (joined[at] >= 0) return;
    for (const other of index?.search(...boxOf([point], TOUCHING_M)) ?? []) {
      if (joined[other] < 0 && distance(point, points[other]) <= TOUCHING_M) joined[other] = at;
    }
  });
  return joined;
}

/**
 * Puts into a line of corners those that its walls touch on their way, in the order in which they come, so that a wall
 * is cut in two where another one's corner leans on it. Steps from a corner to itself, which joining leaves, fall out.
 */
function cornersOnTheWay(points: readonly Point[], cornerOf: readonly number[]): (line: number[]) => number[] {
  const index = indexOf(points.map((point) => boxOf([point])));
  return (line) =>
    line.flatMap((to, at) => {
      const from = line[at - 1];
      if (at === 0) return [to];
      if (from === to || index === null) return [];
      const touched = index
        .search(...boxOf([points[from], points[to]], TOUCHING_M))
        .filter((corner) => cornerOf[corner] === corner && corner !== from && corner !== to)
        .map((corner) => ({ corner, ...nearestOnSegment(points[corner], points[from], points[to]) }))
        .filter(({ distance: off }) => off <= TOUCHING_M)
        .sort((a, b) => a.along - b.along);
      return [...touched.map(({ corner }) => corner), to];
    });
}

export const distance = (a: Point, b: Point) => Math.hypot(b[0] - a[0], b[1] - a[1]);
export const angleTo = (a: Point, b: Point) => Math.atan2(b[1] - a[1], b[0] - a[0]);

/**
 * Above 0 where `r` lies to the left of the line from `p` to `q`; its distance from that line × the line's length. 0:
 * on it.
 */
const sideOf = (p: Point, q: Point, r: Point) => (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0]);

/** Whether a point on the line from `p` to `q` lies between the two. */
function isBetween(p: Point, q: Point, at: Point): boolean {
  const along = (at[0] - p[0]) * (q[0] - p[0]) + (at[1] - p[1]) * (q[1] - p[1]);
  return along > 0 && along < (q[0] - p[0]) ** 2 + (q[1] - p[1]) ** 2;
}
