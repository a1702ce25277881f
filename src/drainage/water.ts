import type { Drainage } from './compile.ts';
import { conduitOf, invertsOf } from './conduit.ts';
import { type UniformFlow, uniformFlow } from './manning.ts';
import { concentrationMinutes, overlandMps } from './overland.ts';
import { runoffCOf } from './runoff.ts';

/** After so many links inside a loop, water that has not left it is let go. */
const MOST_ROUNDS = 200;
/** A round that brings each place less than this part of what it has is the last. */
const SETTLED = 1e-9;

/**
 * Carries water from where it comes in to everywhere below: how much enters each place of the flow order, given what
 * comes in at each place from outside. Water goes by the links' shares; structures and inserts hold none back. A loop is
 * gone round until it settles, at most 200 times. O(edges), in a loop times its rounds. `comesIn` is by place, 0 or more,
 * in any unit (L/s, m²), and is left as it is; what comes back is in the same unit.
 *
 * Outside a loop water only goes to higher places, so what a place gets is whole when the pass comes to it. Not to be
 * trusted where a loop sends nearly all of its water back: what is still inside after 200 links is missing, and a loop
 * without a way out, which would fill without end, gets a number that means nothing.
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
      carryLoop({ order, waterShare }, { first, end, entered });
      place = end - 1;
      continue;
    }
    for (let edge = rows[place]; edge < rows[place + 1]; edge++) {
      entered[targets[edge]] += entered[place] * waterShare[edge];
    }
  }
  return entered;
}

/**
 * Carries water on through one loop, whose places are `first` to `end` - 1: each round carries on only what the round before brought; then the loop's ways out are served. So a round is
 * one link further, and `entered` is the sum over ways of every length: in + W·in + W²·in + …, W being the shares inside
 * the loop.
 */
export function carryLoop(
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

/**
 * m² that drain into each place, by place, and the same weighted by each zone's runoff coefficient: times mm/h, over
 * 3600, the latter is the flow there in L/s. Ground that drains two ways counts at each by its share. What `carryWater`
 * says of loops holds. O(edges).
 */
export function drainedAreas(drainage: Drainage): { areaM2: Float64Array; runoffM2: Float64Array } {
  const { map, order } = drainage;
  const area = new Float64Array(order.nodeCount);
  map.zones.forEach((zone, node) => {
    area[order.indexOf[node]] = zone.areaM2;
  });
  return { areaM2: carryWater(drainage, area), runoffM2: carryWater(drainage, runoffAreas(drainage)) };
}

/** By place, the area of the zone that stands there × its runoff coefficient, m²; 0 for structures. O(places). */
export function runoffAreas({ map, order }: Drainage): Float64Array {
  const areas = new Float64Array(order.nodeCount);
  map.zones.forEach((zone, node) => {
    areas[order.indexOf[node]] = zone.areaM2 * runoffCOf(zone);
  });
  return areas;
}

/** How a flow goes along one link, from its start to its end. Over the ground no depth is known, and 0 stands for it. */
export interface LinkFlow extends UniformFlow {
  flowLps: number;
  minutes: number;
}

/**
 * For each edge position: how so many L/s go along it; over a zone's own ground it takes no time here. Pipes and swales
 * by Manning's formula (`uniformFlow`), links over the ground at the speed of paved ground, whatever the flow. Where
 * nothing flows a pipe or a swale takes Infinity minutes. O(structures) to make, O(1) to ask.
 */
export function linkFlows(drainage: Drainage): (edge: number, flowLps: number) => LinkFlow {
  const invertOf = invertsOf(drainage.map);
  return (edge, flowLps) => {
    const link = drainage.linkAt[edge];
    if (!link) return { flowLps, minutes: 0, depthM: 0, velocityMps: 0, isSurcharged: false };
    const conduit = conduitOf(link, invertOf);
    const { depthM, velocityMps, isSurcharged } =
      link.kind === 'overland'
        ? { depthM: 0, velocityMps: overlandMps(conduit.slope, true), isSurcharged: false }
        : uniformFlow(conduit, flowLps);
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

/**
 * What runs at each place and link in a rain long enough for it. Each flow is for the rain of its own time, so flows of two
 * branches do not add up to that below them.
 */
export interface PeakFlows {
  /** Minutes from the farthest ground to each place; 0 where nothing drains to it. */
  minutes: Float64Array;
  /** For each edge position; null for a zone's own ground and where nothing flows. */
  links: (PeakFlow | null)[];
}

const SECONDS_PER_HOUR = 3600;

/**
 * Rational method along branches: areas add, coefficients are weighted by area, the time at a junction is the longest of
 * its branches, and each link takes the rain of its own time (as in Ponce, Engineering Hydrology, table 4-2). `rainAt`
 * gives mm/h for a duration in minutes; `inletMinutes` each zone's own time to its inlets. Ways back in a loop add no
 * time. O(edges).
 *
 * All ground together is taken to give the highest flow, though a longer time means less rain. A small paved part that
 * runs at once may give a higher one alone; the method does not look for it. `rainAt` is to fall with the duration, and
 * is asked for 0 minutes too.
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
      // Only ways onward count: a time that went round a loop would grow with each turn.
      if (head > place) minutes[head] = Math.max(minutes[head], minutes[place] + flow.minutes);
    }
  }
  return { minutes, links };
}

/** Each zone's time of concentration to the farthest of its inlets, by its number; 0 where none of them is on the map. */
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
