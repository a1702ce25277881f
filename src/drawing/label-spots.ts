import { isInside, nearestOnSegment } from '../algorithms/index.ts';
import { boundsOf, type Flat } from './flat.ts';

/** Labels are wider than they are high: clearance upwards counts this much more than sideways. */
const FLATNESS = 2;
const GRID = 22;
const MOST_SPOTS = 16;

interface Spot {
  at: Flat;
  clearance: number;
}

/**
 * Places inside an area where a label has most room, best first: the points of a grid that lie farthest from every
 * edge and from what stands in the way, the best of them refined by halving steps. Empty for an area without ground.
 * O(grid × (positions + things in the way)).
 */
export function labelSpots(area: readonly Flat[][][], inTheWay: readonly Flat[]): Flat[] {
  const squash = ([x, y]: Flat): Flat => [x, y * FLATNESS];
  const rings = area.flat().map((ring) => ring.map(squash));
  const bounds = boundsOf(rings.flat());
  if (!bounds) return [];
  const width = bounds.right - bounds.left;
  const height = bounds.bottom - bounds.top;
  const near = inTheWay
    .map(squash)
    .filter(([x, y]) => x >= bounds.left && x <= bounds.right && y >= bounds.top && y <= bounds.bottom);
  const clearanceAt = (at: Flat) => clearance(rings, near, at);
  const spots: Spot[] = [];
  for (let row = 0; row < GRID; row++) {
    for (let column = 0; column < GRID; column++) {
      const at: Flat = [bounds.left + (width * (column + 0.5)) / GRID, bounds.top + (height * (row + 0.5)) / GRID];
      const room = clearanceAt(at);
      if (room > 0) spots.push({ at, clearance: room });
    }
  }
  spots.sort((a, b) => b.clearance - a.clearance);
  const apart = 0.11 * Math.hypot(width, height);
  const chosen: Spot[] = [];
  for (const spot of spots) {
    if (chosen.length >= MOST_SPOTS) break;
    const isNear = chosen.some(({ at }) => Math.hypot(at[0] - spot.at[0], at[1] - spot.at[1]) < apart);
    if (!isNear) chosen.push(chosen.length === 0 ? refine(spot, Math.max(width, height) / GRID, clearanceAt) : spot);
  }
  return chosen.map(({ at: [x, y] }): Flat => [x, y / FLATNESS]);
}

function refine(start: Spot, firstStep: number, clearanceAt: (at: Flat) => number): Spot {
  let best = start;
  for (let step = firstStep / 2; step > firstStep / 20; step /= 2) {
    for (const [dx, dy] of [
      [step, 0],
      [-step, 0],
      [0, step],
      [0, -step],
    ]) {
      const at: Flat = [best.at[0] + dx, best.at[1] + dy];
      const room = clearanceAt(at);
      if (room > best.clearance) best = { at, clearance: room };
    }
  }
  return best;
}

/** Distance to the nearest edge or thing in the way; negative outside. */
function clearance(rings: readonly Flat[][], inTheWay: readonly Flat[], at: Flat): number {
  let nearest = Number.POSITIVE_INFINITY;
  for (const ring of rings) {
    for (let end = 0, start = ring.length - 1; end < ring.length; start = end++) {
      nearest = Math.min(nearest, nearestOnSegment(at, ring[start], ring[end]).distance);
    }
  }
  if (!isInside(rings, at)) return -nearest;
  for (const [x, y] of inTheWay) nearest = Math.min(nearest, Math.hypot(x - at[0], y - at[1]));
  return nearest;
}
