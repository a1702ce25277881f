import type { Drainage } from './compile.ts';
import { conduitOf, invertsOf } from './conduit.ts';
import { type EvenFlow, evenFlow } from './manning.ts';
import { concentrationMinutes, overlandMps } from './overland.ts';
import { runoffCOf } from './runoff.ts';

const MOST_ROUNDS = 200;
const SETTLED = 1e-9;

/**
 * Carries water from where it comes in to everywhere below: how much enters each place of the flow order, given what
 * comes in at each place from outside. Water goes by the links' shares; structures and inserts hold none back. A loop is
 * gone round until it settles, at most 200 times. O(edges), in a loop times its rounds.
 */
export function carryWater(
  { order, waterShare }: Pick<Drainage, 'order' | 'waterShare'>,
  comesIn: Float64Array,
): Float64Array {
  const { rows, targets, loops, nodeCount } = order;
  const entered = comesIn.slice();
  let loop = 0;
  for (let place = 0; place < nodeCount; place++) {
    if (loop < loops.length && place === loops[loop].first) {
      const { first, end } = loops[loop++];
      goRound({ order, waterShare }, { first, end, entered });
      place = end - 1;
      continue;
    }
    for (let edge = rows[place]; edge < rows[place + 1]; edge++) {
      entered[targets[edge]] += entered[place] * waterShare[edge];
    }
  }
  return entered;
}

/** One loop: each round carries on only what the round before brought; then the loop's ways out are served. */
function goRound(
  { order: { rows, targets }, waterShare }: Pick<Drainage, 'order' | 'waterShare'>,
  { first, end, entered }: { first: number; end: number; entered: Float64Array },
): void {
  let fresh = entered.slice(first, end);
  for (let round = 0; round < MOST_ROUNDS; round++) {
    const next = new Float64Array(end - first);
    let isMoving = false;
    for (let place = first; place < end; place++) {
      for (let edge = rows[place]; edge < rows[place + 1]; edge++) {
        const head = targets[edge];
        const water = fresh[place - first] * waterShare[edge];
        if (head < first || head >= end || water === 0) continue;
        next[head - first] += water;
        entered[head] += water;
        isMoving ||= water > SETTLED * entered[head];
      }
    }
    if (!isMoving) break;
    fresh = next;
  }
  for (let place = first; place < end; place++) {
    for (let edge = rows[place]; edge < rows[place + 1]; edge++) {
      if (targets[edge] >= end) entered[targets[edge]] += entered[place] * waterShare[edge];
    }
  }
}

/** m² that drain into each place, and the same weighted by each zone's runoff coefficient. O(edges). */
export function drainedAreas(drainage: Drainage): { areaM2: Float64Array; runoffM2: Float64Array } {
  const { map, order } = drainage;
  const [area, runoff] = [new Float64Array(order.nodeCount), new Float64Array(order.nodeCount)];
  map.zones.forEach((zone, node) => {
    area[order.placeOf[node]] = zone.areaM2;
    runoff[order.placeOf[node]] = zone.areaM2 * runoffCOf(zone);
  });
  return { areaM2: carryWater(drainage, area), runoffM2: carryWater(drainage, runoff) };
}

/** How a flow goes along one link. */
export interface LinkFlow extends EvenFlow {
  flowLps: number;
  minutes: number;
}

/** For each edge position: how so many L/s go along it; over a zone's own ground it takes no time here. */
export function linkFlows(drainage: Drainage): (edge: number, flowLps: number) => LinkFlow {
  const invertOf = invertsOf(drainage.map);
  return (edge, flowLps) => {
    const link = drainage.linkAt[edge];
    if (!link) return { flowLps, minutes: 0, depthM: 0, velocityMps: 0, isSurcharged: false };
    const conduit = conduitOf(link, invertOf);
    const { depthM, velocityMps, isSurcharged } =
      link.kind === 'overland'
        ? { depthM: 0, velocityMps: overlandMps(conduit.slope, true), isSurcharged: false }
        : evenFlow(conduit, flowLps);
    return {
      flowLps,
      minutes: link.lengthM === 0 ? 0 : link.lengthM / velocityMps / 60,
      depthM,
      velocityMps,
      isSurcharged,
    };
  };
}

/** What runs at the upper end of a link when the rain has lasted long enough for all above it to run. */
export interface PeakFlow extends LinkFlow {
  areaM2: number;
  /** Runoff coefficient of all above together. */
  runoffC: number;
  /** Minutes from the farthest ground to the link's upper end. */
  upperEndMinutes: number;
}

export interface PeakFlows {
  /** Minutes from the farthest ground to each place; 0 where nothing drains to it. */
  minutes: Float64Array;
  /** For each edge position; null for a zone's own ground and where nothing flows. */
  links: (PeakFlow | null)[];
}

const SECONDS_PER_HOUR = 3600;

/**
 * Rational method along branches: areas add, coefficients are weighted by area, the time at a junction is the longest of
 * its branches, and each link takes the rain of its own time (as in Ponce, Engineering Hydrology, table 4-2). `rainAt` gives mm/h for a duration in minutes;
 * `inletMinutes` each zone's own time to its inlets. Ways back in a loop add no time. O(edges).
 */
export function peakFlows(
  drainage: Drainage,
  rainAt: (minutes: number) => number,
  inletMinutes: (node: number) => number = inletMinutesOf(drainage),
): PeakFlows {
  const { map, order, waterShare, linkAt } = drainage;
  const { areaM2, runoffM2 } = drainedAreas(drainage);
  const flowOn = linkFlows(drainage);
  const minutes = new Float64Array(order.nodeCount);
  const links: PeakFlows['links'] = linkAt.map(() => null);
  for (let place = 0; place < order.nodeCount; place++) {
    const node = order.nodeAt[place];
    if (node < map.zones.length) minutes[place] = inletMinutes(node);
    for (let edge = order.rows[place]; edge < order.rows[place + 1]; edge++) {
      const head = order.targets[edge];
      const flowLps = (runoffM2[place] * waterShare[edge] * rainAt(minutes[place])) / SECONDS_PER_HOUR;
      if (flowLps === 0) continue;
      const flow = flowOn(edge, flowLps);
      if (linkAt[edge] !== null) {
        links[edge] = {
          ...flow,
          areaM2: areaM2[place],
          runoffC: runoffM2[place] / areaM2[place],
          upperEndMinutes: minutes[place],
        };
      }
      if (head > place) minutes[head] = Math.max(minutes[head], minutes[place] + flow.minutes);
    }
  }
  return { minutes, links };
}

/** Each zone's time of concentration to the farthest of its inlets. */
function inletMinutesOf({ map }: Drainage): (node: number) => number {
  const positions = new Map(map.structures.map(({ id, position }) => [id, position]));
  return (node) => {
    const zone = map.zones[node];
    return zone.inlets.reduce((most, { to }) => {
      const position = positions.get(to);
      return position ? Math.max(most, concentrationMinutes(zone, position)) : most;
    }, 0);
  };
}
