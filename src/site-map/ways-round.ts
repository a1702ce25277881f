import { TimeQueue } from '../algorithms/index.ts';
import type { Point } from './measure.ts';
import { angleTo, type DrawnBuilding, distance, type OpenSide, STRAIGHT_SLACK, type Stop, Walls } from './walls.ts';

/** Metres on the shortest way from one place to each of the others; infinite where there is no way. */
export type WaysRound = (start: Point, ends: readonly Point[]) => number[];

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
 * corner sees is found when first needed and kept. One start: O(corners² + pairs that could matter × walls near them).
 */
export function waysRound(buildings: readonly DrawnBuilding[]): WaysRound {
  const walls = new Walls(buildings);
  const corners = walls.openSides().map((side): Turn => ({ at: side.at, inside: [], corner: side.corner, side }));
  const seen = new Map<number, { to: number; metres: number }[]>();
  const places = (at: Point) => walls.footholds(at).map((each): Turn => ({ ...each, corner: -1, side: null }));
  const stretch = (a: Turn, b: Turn) =>
    canTurn(walls, a, b) && canTurn(walls, b, a) && isSameSide(walls, a, b) && walls.isClear(a, b);

  function seenFrom(at: number): { to: number; metres: number }[] {
    let found = seen.get(at);
    if (!found) {
      found = corners.flatMap((to, index) =>
        index !== at && stretch(corners[at], to) ? [{ to: index, metres: distance(corners[at].at, to.at) }] : [],
      );
      seen.set(at, found);
    }
    return found;
  }

  /** Metres to every open side of a corner. */
  function spread(starts: readonly Turn[]): Float64Array {
    const metres = Float64Array.from(corners, (to) =>
      Math.min(...starts.map((start) => (stretch(start, to) ? distance(start.at, to.at) : Infinity))),
    );
    const queue = new TimeQueue();
    metres.forEach((far, at) => void (far < Infinity && queue.push(at, far)));
    for (let next = queue.pop(); next; next = queue.pop()) {
      if (next.time > metres[next.item]) continue;
      for (const { to, metres: more } of seenFrom(next.item)) {
        const far = next.time + more;
        if (far >= metres[to]) continue;
        metres[to] = far;
        queue.push(to, far);
      }
    }
    return metres;
  }

  return (start, ends) => {
    const starts = places(start);
    let fromStart: Float64Array | null = null;
    return ends.map((end) => {
      const stops = places(end);
      let best = Infinity;
      for (const from of starts) {
        for (const to of stops) if (walls.isClear(from, to)) best = Math.min(best, distance(start, end));
      }
      if (best < Infinity) return best;
      fromStart ??= spread(starts);
      for (const to of stops) {
        corners.forEach((corner, at) => {
          const metres = (fromStart as Float64Array)[at] + distance(corner.at, to.at);
          if (metres < best && stretch(corner, to)) best = metres;
        });
      }
      return best;
    });
  };
}

/** Whether a way that comes from `to` could go on round the corner that `stop` is: its wall must be on the inside of the bend. */
function canTurn(walls: Walls, { corner, side, at }: Turn, to: Turn): boolean {
  if (side === null || isWallTo(walls, corner, to.corner)) return true;
  const isStepOut = to.inside.some((building) => walls.buildingsAt[corner].has(building));
  const angle = side.from + ((((angleTo(at, to.at) - side.from) % TURN) + TURN) % TURN);
  if (angle > side.to) return isStepOut;
  return angle - side.from >= Math.PI - STRAIGHT_SLACK || side.to - angle >= Math.PI - STRAIGHT_SLACK;
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
