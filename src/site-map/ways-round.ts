import { TimeQueue } from '../algorithms/index.ts';
import type { Point } from './measure.ts';
import { angleTo, type DrawnBuilding, distance, type OpenSide, STRAIGHT_SLACK, type Stop, Walls } from './walls.ts';

/** A shortest way: how long it is, infinite where there is none, and every point where it bends, both ends with them. */
interface Way {
  metres: number;
  path: Point[];
}

export interface WaysRound {
  /** Metres on the shortest way from one place to each of the others; infinite where there is no way. */
  metresTo(start: Point, ends: readonly Point[]): number[];
  /** The shortest way to one place; without points where there is none. */
  wayTo(start: Point, end: Point): Way;
}

/** A stop with the open side of its corner; a place has none. */
type Turn = Stop & { side: OpenSide | null };

const TURN = 2 * Math.PI;

/**
 * Shortest ways over open ground, round the buildings. A way may touch walls. A place inside a building leaves it
 * straight, through whichever of its walls is best, as if a door were there; two places in one building are a straight
 * line apart. A place at a wall stands on its open side, one on a free-standing wall on both.
 *
 * A shortest way bends at corners only, round their outside, so it is a shortest path among the corners that see each
 * other (visibility graph; Lozano-Pérez and Wesley, Communications of the ACM 22, 1979), by Dijkstra's method. What a
 * corner sees is found when first needed and kept, and the search ends with the farthest place found. One start:
 * O(corners no farther than that × (corners + pairs that could matter × walls near them)).
 *
 * Why corners are enough: pull a way taut like a string, and it is straight wherever nothing holds it; what holds it is
 * the outside of a corner. So a stretch between two corners counts only if at both of them the way could go on round
 * the corner with its wall on the inside of the bend (`canTurn`), and if both are on the same side of a wall that they
 * run along (`isSameSide`). That leaves out most pairs before any wall is looked at, and no shortest way.
 *
 * All is in metres in one flat frame; a way is infinite where there is none, as into a courtyard. Not to be trusted to
 * less than the 5 cm within which walls touch, nor where people walk through doors and gates, which are not drawn.
 */
export function waysRound(buildings: readonly DrawnBuilding[]): WaysRound {
  const walls = new Walls(buildings);
  const corners = walls.openSides().map((side): Turn => ({ at: side.at, inside: [], corner: side.corner, side }));
  const seen = new Map<number, { to: number; metres: number }[]>();
  const places = (at: Point) => walls.footholds(at).map((each): Turn => ({ ...each, corner: -1, side: null }));
  const stretch = (a: Turn, b: Turn) =>
    canTurn(walls, a, b) && canTurn(walls, b, a) && isSameSide(walls, a, b) && walls.isClear(a, b);

  function seenFrom(at: number): { to: number; metres: number }[] {
    const known = seen.get(at);
    if (known) return known;
    const found: { to: number; metres: number }[] = [];
    for (let to = 0; to < corners.length; to++) {
      if (to !== at && stretch(corners[at], corners[to]))
        found.push({ to, metres: distance(corners[at].at, corners[to].at) });
    }
    seen.set(at, found);
    return found;
  }

  /** The corners with their distance from the start, nearest first, and the way to each. */
  function* nearestFirst(starts: readonly Turn[]): Generator<{ corner: Turn; metres: number; bends(): Point[] }> {
    const metres = new Float64Array(corners.length).fill(Infinity);
    const before = new Int32Array(corners.length).fill(-1);
    const queue = new TimeQueue();
    const reach = (at: number, far: number, from: number) => {
      if (far >= metres[at]) return;
      metres[at] = far;
      before[at] = from;
      queue.push(at, far);
    };
    const bendsTo = (item: number): Point[] => {
      const bends: Point[] = [];
      for (let at = item; at >= 0; at = before[at]) bends.unshift(corners[at].at);
      return bends;
    };
    corners.forEach((to, at) => {
      for (const start of starts) if (stretch(start, to)) reach(at, distance(start.at, to.at), -1);
    });
    for (let next = queue.pop(); next; next = queue.pop()) {
      const { item, time } = next;
      if (time > metres[item]) continue;
      yield { corner: corners[item], metres: time, bends: () => bendsTo(item) };
      for (const { to, metres: more } of seenFrom(item)) reach(to, time + more, item);
    }
  }

  function waysTo(start: Point, ends: readonly Point[]): { metres: number; bends(): Point[] }[] {
    const starts = places(start);
    const stops = ends.map(places);
    const isInSight = (at: number) => starts.some((from) => stops[at].some((to) => walls.isClear(from, to)));
    // In sight the straight line is the shortest way, and nothing more is looked for.
    const best = ends.map((end, at) => ({
      metres: isInSight(at) ? distance(start, end) : Infinity,
      bends: (): Point[] => [],
    }));
    const open = [...ends.keys()].filter((at) => best[at].metres === Infinity);
    if (open.length === 0) return best;
    for (const { corner, metres, bends } of nearestFirst(starts)) {
      // Corners come nearest first, so no corner from here on leads anywhere sooner.
      if (open.every((at) => best[at].metres <= metres)) break;
      for (const at of open) {
        for (const to of stops[at]) {
          const far = metres + distance(corner.at, to.at);
          if (far < best[at].metres && stretch(corner, to)) best[at] = { metres: far, bends };
        }
      }
    }
    return best;
  }

  return {
    metresTo: (start, ends) => waysTo(start, ends).map(({ metres }) => metres),
    wayTo: (start, end) => {
      const [{ metres, bends }] = waysTo(start, [end]);
      return { metres, path: metres === Infinity ? [] : [start, ...bends(), end] };
    },
  };
}

/**
 * Whether a way that comes from `to` could go on round the corner that this stop is: its wall must be on the inside of
 * the bend. That is so where the line from `to`, made longer past the corner, still runs over the open ground beside
 * it: seen from the corner, `to` must lie half a circle or more from one of the two walls. A slack keeps walls that are
 * nearly straight, since corners are not known to a hair. Anywhere goes at a place, which has no side, and along a
 * wall.
 */
function canTurn(walls: Walls, { corner, side, at }: Turn, to: Turn): boolean {
  if (side === null || isWallTo(walls, corner, to.corner)) return true;
  const isStepOut = to.inside.length > 0 && to.inside.some((building) => walls.buildingsAt[corner].has(building));
  if (!isStepOut && isBetweenWalls(side, to.at)) return false;
  const angle = side.from + ((((angleTo(at, to.at) - side.from) % TURN) + TURN) % TURN);
  if (angle > side.to) return isStepOut;
  return angle - side.from >= Math.PI - STRAIGHT_SLACK || side.to - angle >= Math.PI - STRAIGHT_SLACK;
}

/** Whether the line to a place, made longer both ways, has one wall of the corner on either side of it: a quick no for most. */
function isBetweenWalls({ at, fromWay, toWay }: OpenSide, to: Point): boolean {
  const dx = to[0] - at[0];
  const dy = to[1] - at[1];
  const one = dx * fromWay[1] - dy * fromWay[0];
  const other = dx * toWay[1] - dy * toWay[0];
  const slack = STRAIGHT_SLACK * (Math.abs(dx) + Math.abs(dy));
  return one * other < 0 && Math.abs(one) > slack && Math.abs(other) > slack;
}

const isWallTo = (walls: Walls, from: number, to: number) => from >= 0 && to >= 0 && walls.ends[from].includes(to);

/** Along a wall one stays on one side of it. */
function isSameSide(walls: Walls, a: Turn, b: Turn): boolean {
  if (a.side === null || b.side === null || !isWallTo(walls, a.corner, b.corner)) return true;
  return (
    (a.side.fromEnd === b.corner && b.side.toEnd === a.corner) ||
    (a.side.toEnd === b.corner && b.side.fromEnd === a.corner)
  );
}
