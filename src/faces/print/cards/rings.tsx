import { type Box, type Flat, TakenBoxes, textWidth, toPixels } from '../../../drawing/index.ts';
import type { Drawn } from './cut-out.ts';

/** A place to block: a ring round it, and a badge with the numbers of all that is done there. */
export interface Ring {
  at: string;
  numbers: string;
  place: Flat;
  badge: Box;
}

const RADIUS = 14;
const BADGE = 10;
const NUMBER_PX = 15;

/** How much room a ring takes, both ways. */
export const RING_ROOM = 2 * RADIUS + 5;

/** The rings of a card's steps, a berm's on free ground of the zone; badges where they hide no other ring, if they can. */
export function ringsOf(drawn: Drawn): Ring[] {
  const { steps, transform, zone } = drawn;
  const places = new Map(drawn.flat.structures.map(({ structure, at }) => [structure.id, toPixels(transform, at)]));
  const ids = [...new Set(steps.map(({ at }) => at))];
  const taken = ids.map((id) => places.get(id)).filter((place) => place !== undefined);
  const spots = zone.spots.map((spot) => toPixels(transform, spot));
  const ground = freest(spots, taken);
  if (ground) places.set(zone.zone.id, ground);
  const boxes = new TakenBoxes();
  for (const [x, y] of [...taken, ...(ground ? [ground] : [])]) {
    boxes.take({ x, y, width: RING_ROOM - 8, height: RING_ROOM - 8 });
  }
  return ids.flatMap((at): Ring[] => {
    const place = places.get(at);
    if (!place) return [];
    const numbers = steps.flatMap((step) => (step.at === at ? [step.ring] : [])).join(' ');
    const badge = badgeFor(place, numbers, boxes);
    boxes.take(badge);
    return [{ at, numbers, place, badge }];
  });
}

/** The first spot with room for a ring beside all others; without one, that farthest from them. */
function freest(spots: readonly Flat[], taken: readonly Flat[]): Flat | null {
  const apart = ([x, y]: Flat) => Math.min(...taken.map((place) => Math.hypot(place[0] - x, place[1] - y)));
  return (
    spots.find((spot) => apart(spot) >= 1.6 * RING_ROOM) ?? [...spots].sort((a, b) => apart(b) - apart(a))[0] ?? null
  );
}

const CORNERS = [
  [1, -1],
  [-1, -1],
  [1, 1],
  [-1, 1],
] as const;

function badgeFor([x, y]: Flat, numbers: string, taken: TakenBoxes): Box {
  const width = Math.max(2 * BADGE, textWidth(numbers, NUMBER_PX) + 10);
  const tries = CORNERS.map(
    ([right, down]): Box => ({
      x: x + right * (RADIUS + width / 2 - 5),
      y: y + down * (RADIUS + 2),
      width,
      height: 2 * BADGE,
    }),
  );
  return tries.find((box) => taken.isFree(box)) ?? tries[0];
}

export function BlockRing({ place, numbers, badge }: Ring) {
  const [cx, cy] = place.map((each) => each.toFixed(1));
  return (
    <g class="block-ring">
      <circle class="ring-casing" cx={cx} cy={cy} r={RADIUS} />
      <circle class="ring-line" cx={cx} cy={cy} r={RADIUS} />
      <rect
        x={(badge.x - badge.width / 2).toFixed(1)}
        y={(badge.y - BADGE).toFixed(1)}
        width={badge.width.toFixed(1)}
        height={badge.height}
        rx={BADGE}
      />
      <text x={badge.x.toFixed(1)} y={(badge.y + 5.3).toFixed(1)} text-anchor="middle">
        {numbers}
      </text>
    </g>
  );
}
