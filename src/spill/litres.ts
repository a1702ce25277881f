import { FIRST_PLACE, type Place } from '../algorithms/index.ts';
import { arrivesOverSurface, type Drainage, findPlace, holdsAtFlow, structureAt } from '../drainage/index.ts';
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

/** Litres that dry ground keeps of a spill running over it. */
export function groundKeeps(surface: Zone['properties']['surface'], metres: number): number {
  return DEPRESSION_MM[surface ?? 'asphalt'] * WETTED_WIDTH_M * metres;
}

export interface LitresFacts {
  /** Litres that get to each inlet from the spill's own ground. */
  starts: readonly { structure: string; litres: number }[];
  isDry: boolean;
  /** L/s that enter each place: a separator holds less when it is overrun. */
  flowLps: Float64Array;
}

const MOST_ROUNDS = 200;
const LEAST_LITRES = 1e-9;

/**
 * Litres that enter each place of the flow order, before what it holds itself: less what inserts catch (to their
 * capacity), what structures hold, and, when dry, what the ground under overland links and swales keeps. Loops are gone
 * round until nothing moves. O(edges), in a loop times its rounds.
 */
export function litresEntering(drainage: Drainage, { starts, isDry, flowLps }: LitresFacts): Float64Array {
  const { order, waterShare, linkAt } = drainage;
  const { rows, targets, loops, nodeCount } = order;
  const entered = new Float64Array(nodeCount);
  const keeps = linkAt.map((link) => {
    if (!isDry || !link || link.kind === 'pipe') return 0;
    return groundKeeps(link.kind === 'swale' ? 'grass' : 'asphalt', link.lengthM);
  });
  const inserts = new Map<Place, number>();
  /** What an insert lets through of oil at a grate. */
  const pastInsert = (place: Place, litres: number) => {
    const { insert } = structureAt(drainage, place).properties;
    if (!insert) return litres;
    const room = inserts.get(place) ?? insert.litres ?? Number.POSITIVE_INFINITY;
    const caught = Math.min(room, insert.holds * litres);
    inserts.set(place, room - caught);
    return litres - caught;
  };
  /** Sends fresh litres on from a place; gives what arrives at each end. */
  const sendOn = (place: Place, litres: number, arrive: (head: Place, litres: number) => void) => {
    const leaves = litres * (1 - holdsAtFlow(structureAt(drainage, place), flowLps[place]));
    for (let edge = rows[place]; edge < rows[place + 1]; edge++) {
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
    const place = findPlace(drainage, structure);
    if (place !== undefined) entered[place] += pastInsert(place, litres);
  }
  const addTo = (head: Place, litres: number) => {
    entered[head] += litres;
  };
  let loop = 0;
  for (let place = FIRST_PLACE; place < nodeCount; ) {
    if (loop < loops.length && place === loops[loop].first) {
      const { first, end } = loops[loop++];
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
      place = end;
    } else {
      if (entered[place] > 0) sendOn(place, entered[place], addTo);
      place++;
    }
  }
  return entered;
}
