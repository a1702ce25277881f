import { type FlowIndex, TimeQueue } from '../algorithms/index.ts';
import { lengthOf, type Structure, type Zone } from '../site-map/index.ts';
import { arrivesOverSurface, type Drainage, findFlowIndex, flowIndexOf, structureAt } from './compile.ts';
import { overlandMinutes } from './overland.ts';
import { carryWater, drainedAreas, type LinkFlow, linkFlows } from './water.ts';
import { type WayIn, waysInFrom } from './ways-in.ts';

/** Oil that gets to a structure's inlet: after so many minutes, with so many L/s. */
export interface Release {
  structure: string;
  minutes: number;
  flowLps: number;
}

/** When oil can first be where. */
export interface Arrivals {
  /** For each place of the order: minutes until oil can first be there; Infinity where it never is. */
  minutes: Float64Array;
  /** The same for its inlet, over the surface. */
  surfaceMinutes: Float64Array;
  /** For each edge that oil gets to: how the flow goes along it; null elsewhere. */
  flows: (LinkFlow | null)[];
  /** For each place: L/s of water and oil that enter it. */
  flowLps: Float64Array;
}

export interface ArrivalOptions {
  /** Rain in mm/h, fallen for long enough that all of the yard runs; 0 for none. */
  rainMmPerH: number;
  /** Whether oil runs on, over the ground, past grates on a grade, as it does when they are covered. */
  runsOn?: boolean;
}

const SECONDS_PER_HOUR = 3600;

/**
 * When oil let go at some inlets can first be at every place, "no sooner than": pipes and swales by Manning at the flow
 * that is in them (runoff of the rain plus the releases, divided as the links' shares divide water), overland links as
 * shallow concentrated flow. A link that gets none of the water counts with all of it: oil that finds a way there is not
 * slower than that. What structures and the ground hold does not stop it. First times come by Dijkstra's method (1959).
 *
 * Releases of structures that are not on the map are left out. O(edges), plus log(places) for those that oil gets to.
 *
 * How long a link takes depends on the flows alone, which are settled before, and not on when oil comes to it, and is
 * never under 0. So the place that comes out of the queue with the least time can be reached no sooner by any other way,
 * and its links are followed once.
 *
 * The flows are those of a release and a rain that have lasted: the front of a short or small release is slower. Times
 * are for the mean speed of a flow, though its surface, where oil floats, runs somewhat faster. Rain in mm/h and flows in
 * L/s are 0 or more, and minutes count from when the release began.
 */
export function arrivalTimes(
  drainage: Drainage,
  releases: readonly Release[],
  { rainMmPerH, runsOn = false }: ArrivalOptions,
): Arrivals {
  const { order, waterShare, linkAt } = drainage;
  const oil = new Float64Array(order.nodeCount);
  const minutes = new Float64Array(order.nodeCount).fill(Number.POSITIVE_INFINITY);
  const surfaceMinutes = minutes.slice();
  const queue = new TimeQueue<FlowIndex>();
  let spilledLps = 0;
  const reach = (index: FlowIndex, at: number, overSurface: boolean) => {
    if (overSurface && at < surfaceMinutes[index]) surfaceMinutes[index] = at;
    if (at >= minutes[index]) return;
    minutes[index] = at;
    queue.push(index, at);
  };
  for (const { structure, minutes: at, flowLps } of releases) {
    const index = findFlowIndex(drainage, structure);
    if (index === undefined) continue;
    oil[index] += flowLps;
    spilledLps += flowLps;
    reach(index, at, true);
  }
  const oilLps = carryWater(drainage, oil);
  const runoffM2 = rainMmPerH > 0 ? drainedAreas(drainage).runoffM2 : new Float64Array(order.nodeCount);
  const flowLps = oilLps.map((lps, place) => lps + (runoffM2[place] * rainMmPerH) / SECONDS_PER_HOUR);
  const flowOn = linkFlows(drainage);
  const flows: Arrivals['flows'] = linkAt.map(() => null);

  for (let next = queue.pop(); next; next = queue.pop()) {
    const { item: index, time } = next;
    // An older entry of a place that has been reached sooner since.
    if (time > minutes[index]) continue;
    for (let edge = order.rows[index]; edge < order.rows[index + 1]; edge++) {
      const brings = flowLps[index] * waterShare[edge];
      const flow = flowOn(edge, brings > 0 ? brings : Math.max(flowLps[index], spilledLps));
      flows[edge] = flow;
      reach(order.targets[edge], time + flow.minutes, arrivesOverSurface(linkAt[edge]));
    }
    if (!runsOn) continue;
    const structure = structureAt(drainage, index);
    const beside = bypassIndex(drainage, structure);
    if (beside === undefined) continue;
    const metres = lengthOf([structure.position, structureAt(drainage, beside).position]);
    reach(beside, time + overlandMinutes(null, metres), true);
  }
  return { minutes, surfaceMinutes, flows, flowLps };
}

/** The inlet that takes what runs past a grate on a grade, as the map says; undefined for all other structures. */
export function bypassTo({ properties }: Structure): string | undefined {
  return properties.setting === 'on-grade' ? properties.spillsTo : undefined;
}

/** The place of the inlet that takes what runs past a structure; undefined also where it is not on the map. O(1). */
export function bypassIndex(drainage: Drainage, structure: Structure): FlowIndex | undefined {
  const beside = bypassTo(structure);
  return beside === undefined ? undefined : findFlowIndex(drainage, beside);
}

/**
 * What so many L/s on a zone's ground, or outside every zone, bring to each inlet, and when: divided by the inlets'
 * shares, over their metres at the speed of shallow concentrated flow. None of it soaks in or stays in hollows. O(ways
 * in).
 */
export function releasesFrom(zone: Zone | null, waysIn: readonly WayIn[], flowLps: number): Release[] {
  return waysIn.map(({ to, share, metres }) => ({
    structure: to,
    minutes: overlandMinutes(zone, metres),
    flowLps: flowLps * share,
  }));
}

/**
 * Minutes from a zone's ground until its oil can first be at a structure, for a release of so many L/s in all, in rain of
 * so many mm/h; Infinity where it never gets there. O(edges). From the zone's ground nearest to each inlet, so it is the
 * least over the zone. Throws where `at` is no zone or structure of the map. How far to trust it: `arrivalTimes`.
 */
export function minutesFromZone(
  drainage: Drainage,
  zone: Zone,
  { at, flowLps, rainMmPerH }: { at: string; flowLps: number; rainMmPerH: number },
): number {
  const releases = releasesFrom(zone, waysInFrom(drainage.map, zone), flowLps);
  const { minutes } = arrivalTimes(drainage, releases, { rainMmPerH });
  return minutes[flowIndexOf(drainage, at)];
}
