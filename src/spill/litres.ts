import { FIRST_INDEX, type FlowIndex } from '../algorithms/index.ts';
import { arrivesOverSurface, type Drainage, findFlowIndex, holdsAtFlow, structureAt } from '../drainage/index.ts';
import type { Zone } from '../site-map/index.ts';

/**
 * Depression storage in mm: large paved ground 0.1 in, lawn 0.35 in, open field 0.4 in (recommended values of the Denver Urban
 * Drainage and Flood Control District 1984, Urban Storm Drainage Criteria Manual, Runoff, table 2-1). Gravel as paved ground, a guess on the safe side.
 */
const DEPRESSION_MM: Readonly<Record<NonNullable<Zone['properties']['surface']>, number>> = {
  asphalt: 2.54,
  concrete: 2.54,
  roof: 2.54,
  gravel: 2.54,
  grass: 8.89,
  soil: 10.16,
};
/** Width that a spill wets on its way over the ground, in metres. A guess. */
const WETTED_WIDTH_M = 0.5;

/**
 * Litres that dry ground keeps of a spill running over it for so many metres (0 or more): depression storage in mm ×
 * wetted width in m × way in m, and a millimetre on a square metre is a litre. A surface that is not stated counts as
 * asphalt. The storage was measured for water (Denver 1984), and the width is a guess, so the litres are an order of
 * magnitude. Wet ground keeps nothing more: ask only where it is dry. O(1).
 */
export function groundKeeps(surface: Zone['properties']['surface'], metres: number): number {
  return DEPRESSION_MM[surface ?? 'asphalt'] * WETTED_WIDTH_M * metres;
}

/** What is known of a spill when its litres are followed. */
export interface LitresFacts {
  /**
   * Litres, 0 or more, that get to each inlet from the spill's own ground. Inlets that are not on the map are left out.
   */
  starts: readonly { structure: string; litres: number }[];
  /** Whether the ground is dry, so that overland links and swales keep some of what runs over them. */
  isDry: boolean;
  /** By place, L/s that enter each place: a separator holds less when it is overrun. */
  flowLps: Float64Array;
}

/** Oil in a loop is moved on by so many links at most, and no more once at most this much moves at each place. */
const MOST_ROUNDS = 200;
const LEAST_LITRES = 1e-9;

/**
 * Litres that enter each place of the flow order, before what it holds itself: less what inserts catch (to their
 * capacity), what structures hold, and, when dry, what the ground under overland links and swales keeps. Loops are gone
 * round until nothing moves. O(edges), in a loop times its rounds.
 *
 * What comes back has one number for each place of the flow order, 0 where no oil gets to. Places stand in the order in
 * which oil flows, but for loops, so everything that enters a place is known when its turn comes, and it is sent on
 * once. That matters because two of the losses are no fixed part: an insert stops catching when it is full, and the
 * ground under a link keeps its few litres once. Shares of a total would take them off again for every branch.
 *
 * In a loop the same litre may enter a place several times, and each time is counted here. With a chance r of coming
 * back, the entries of one litre add up to 1 + r + r² + … = 1 ÷ (1 − r), so a caller that wants litres and not entries
 * takes them times 1 − r. After 200 links what still goes round is dropped: in a long loop, or one that loses but a few
 * parts in a hundred each time round, the sum is too small, and in one that loses nothing it means nothing.
 */
export function litresEntering(drainage: Drainage, { starts, isDry, flowLps }: LitresFacts): Float64Array {
  const { order, waterShare, linkAt } = drainage;
  const { rows, targets, loops, nodeCount } = order;
  const entered = new Float64Array(nodeCount);
  const keeps = linkAt.map((link) => {
    if (!isDry || !link || link.kind === 'pipe') return 0;
    return groundKeeps(link.kind === 'swale' ? 'grass' : 'asphalt', link.lengthM);
  });
  const inserts = new Map<FlowIndex, number>();
  /**
   * What an insert lets through of oil at a grate: it catches its part of what comes, as long as there is room in it.
   */
  const pastInsert = (index: FlowIndex, litres: number) => {
    const { insert } = structureAt(drainage, index).properties;
    if (!insert) return litres;
    const room = inserts.get(index) ?? insert.litres ?? Number.POSITIVE_INFINITY;
    const caught = Math.min(room, insert.holds * litres);
    inserts.set(index, room - caught);
    return litres - caught;
  };
  /**
   * Sends fresh litres on from a place; gives what arrives at each end. What structures hold is a part of what enters,
   * so it may be taken off anew for each batch; what the ground keeps is taken off what is left of its room.
   */
  const sendOn = (index: FlowIndex, litres: number, arrive: (head: FlowIndex, litres: number) => void) => {
    const leaves = litres * (1 - holdsAtFlow(structureAt(drainage, index), flowLps[index]));
    for (let edge = rows[index]; edge < rows[index + 1]; edge++) {
      const sent = leaves * waterShare[edge];
      const kept = Math.min(keeps[edge], sent);
      keeps[edge] -= kept;
      const left = sent - kept;
      if (left > 0) {
        arrive(targets[edge], arrivesOverSurface(linkAt[edge]) ? pastInsert(targets[edge], left) : left);
      }
    }
  };

  for (const { structure, litres } of starts) {
    const index = findFlowIndex(drainage, structure);
    if (index !== undefined) entered[index] += pastInsert(index, litres);
  }
  const addTo = (head: FlowIndex, litres: number) => {
    entered[head] += litres;
  };
  let loop = 0;
  for (let index = FIRST_INDEX; index < nodeCount; ) {
    if (loop < loops.length && index === loops[loop].first) {
      const { first, end } = loops[loop++];
      // Only what came in the last round is sent on in the next. What leaves the loop has its own turn later, since all
      // places beyond a loop stand after its end.
      let fresh = entered.slice(first, end);
      for (let round = 0; round < MOST_ROUNDS && fresh.some((litres) => litres > LEAST_LITRES); round++) {
        const next = new Float64Array(end - first);
        for (let from = first; from < end; from++) {
          if (fresh[from - first] > 0) {
            sendOn(from, fresh[from - first], (head, left) => {
              addTo(head, left);
              if (head < end) next[head - first] += left;
            });
          }
        }
        fresh = next;
      }
      index = end;
    } else {
      if (entered[index] > 0) sendOn(index, entered[index], addTo);
      index++;
    }
  }
  return entered;
}
