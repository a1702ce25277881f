import type { Flat } from './flat.ts';

/** Pixels between chevrons, and the shortest link that gets one. */
const EVERY = 64;
const SHORTEST = 18;
const SIZE = 5;

/**
 * Chevrons that point the way a link flows, as one SVG path. `path` is in pixels. Evenly spread, at least one on any
 * link long enough to hold it; none on shorter ones. O(places).
 */
export function chevronsAlong(path: readonly Flat[], every = EVERY): string {
  const lengths = path.slice(1).map(([x, y], at) => Math.hypot(x - path[at][0], y - path[at][1]));
  const total = lengths.reduce((sum, length) => sum + length, 0);
  if (total < SHORTEST) return '';
  const count = Math.max(1, Math.round(total / every));
  let drawn = '';
  let [segment, before] = [0, 0];
  for (let at = 0; at < count; at++) {
    const along = ((at + 0.5) * total) / count;
    while (segment < lengths.length - 1 && before + lengths[segment] < along) before += lengths[segment++];
    drawn += chevron(path[segment], path[segment + 1], (along - before) / (lengths[segment] || 1));
  }
  return drawn;
}

function chevron([ax, ay]: Flat, [bx, by]: Flat, part: number): string {
  const [dx, dy] = [bx - ax, by - ay];
  const length = Math.hypot(dx, dy) || 1;
  const [ux, uy] = [(dx / length) * SIZE, (dy / length) * SIZE];
  const [x, y] = [ax + dx * part + ux * 0.5, ay + dy * part + uy * 0.5];
  const [left, right] = [
    [x - ux - uy, y - uy + ux],
    [x - ux + uy, y - uy - ux],
  ];
  const place = ([px, py]: number[]) => `${px.toFixed(1)} ${py.toFixed(1)}`;
  return `M${place(left)}L${place([x, y])}L${place(right)}`;
}
