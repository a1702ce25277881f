import { type FlowIndex, TimeQueue } from '../algorithms/index.ts';
import { type Fluid, lengthOf, type Structure, type Zone } from '../site-map/index.ts';
import { arrivesOverSurface, type Drainage, findFlowIndex, flowIndexOf, structureAt } from './compile.ts';
import { type GroundTravel, groundTravel, NO_LPS } from './oil-film.ts';
import { type OilFlow, oilFlows } from './oil-flow.ts';
import { DEFAULT_ZONE_SLOPE, overlandMinutes, zoneSlope } from './overland.ts';
import { carryEvent } from './relief.ts';
import { litresToFill, mostFlow, separatorLitres } from './rooms.ts';
import { carryWater, type LinkFlow, linkFlows, runoffAreas } from './water.ts';
import { type WayIn, waysInFrom } from './ways-in.ts';

/** Oil that gets to a structure's inlet with so many L/s: how it gets over the ground. */
export interface Release extends Omit<GroundTravel, 'lateMinutes'> {
  structure: string;
  flowLps: number;
}

/** When oil can first be where, and what delays it on the way. */
export interface Arrivals {
  /** For each place of the order: minutes until oil can first be there; Infinity where it never is. */
  minutes: Float64Array;
  /** The same for its inlet, over the surface. */
  surfaceMinutes: Float64Array;
  /** For each edge that oil gets to: how the flow goes along it; null elsewhere. */
  flows: (OilFlow | null)[];
  /** For each place: L/s of water and oil that enter it. */
  flowLps: Float64Array;
  /** For each edge: the part of what leaves its start that goes this way in this event, what inserts catch aside. */
  oilShare: Float64Array;
  /** For each place that oil gets to: minutes until the water in a separator there has made way; 0 elsewhere. */
  waitMinutes: Float64Array;
}

export interface ArrivalOptions {
  /** Rain in mm/h, fallen for long enough that all of the yard runs; 0 for none. */
  rainMmPerH: number;
  /** Whether oil runs on, over the ground, past grates on a grade, as it does when they are covered. */
  runsOn?: boolean;
  /** Left out or null where nobody knows it: then it is taken as `other`. */
  fluid?: Fluid | null;
}

const SECONDS_PER_MINUTE = 60;
const SECONDS_PER_HOUR = 3600;

/**
 * When oil let go at some inlets can first be at every place, "no sooner than", and what it likely needs along each link.
 * Water's speed gives the first: pipes and swales by Manning at the flow that is in them (runoff of the rain plus the
 * releases, divided as the links' shares divide water, relief pipes by that flow), overland links as shallow concentrated
 * flow. What stands in the way takes its time at the flow that comes: the water in a separator whose size is known makes
 * way, a well fills to where its pump starts, and in dry weather a sump fills to its outlet. Below a well the flow that
 * counts for first times is the pump's, where that is more. A link that gets none of the water counts with all of it: oil
 * that finds a way there is not slower than that. What structures and the ground hold delays no first time. First times
 * come by Dijkstra's method (1959).
 *
 * Releases of structures that are not on the map are left out. O(edges), plus log(places) for those that oil gets to.
 *
 * How long a link or a place takes depends on the flows alone, which are settled before, and not on when oil comes to it,
 * and is never under 0. So the place that comes out of the queue with the least time can be reached no sooner by any other
 * way, and its links are followed once.
 *
 * The flows are those of a release and a rain that have lasted: the front of a short or small release is slower. Times
 * are for the mean speed of a flow, which is some 0.85 of its surface's (Rantz 1982, Measurement and Computation of
 * Streamflow, U.S. Geological Survey): oil that floats on deep water can be there 15 % sooner than "no sooner than".
 * Rain in mm/h and flows in L/s are 0 or more, and minutes count from when the release began.
 */
export function arrivalTimes(
  drainage: Drainage,
  releases: readonly Release[],
  { rainMmPerH, runsOn = false, fluid = null }: ArrivalOptions,
): Arrivals {
  const { comesIn, spilledLps } = inflowOf(drainage, releases, rainMmPerH);
  const isDry = rainMmPerH === 0;
  const event = carryEvent(drainage, comesIn);
  const waitMinutes = new Float64Array(drainage.order.nodeCount);
  const most = mostFlow(drainage, event);
  const stays = (index: FlowIndex) => {
    const structure = structureAt(drainage, index);
    const separator = separatorLitres(structure);
    waitMinutes[index] = minutesToFill(separator, event.flowLps[index] || spilledLps);
    return minutesToFill(separator + litresToFill(structure, isDry), most.intoLps[index] || spilledLps);
  };
  const along = dividedBy(event.share, spilledLps);
  const oilOn = oilFlows(drainage, { fluid, isDry });
  const waterOn = linkFlows(drainage);
  const flowOn = (edge: number, from: FlowIndex) => {
    const flow = oilOn(edge, along(edge, event.flowLps[from]));
    if (most.outOfLps[from] === event.flowLps[from]) return flow;
    return { ...flow, minutes: Math.min(flow.minutes, waterOn(edge, along(edge, most.outOfLps[from])).minutes) };
  };
  const first = firstTimes(drainage, releases, { flowOn, stays, runsOn });
  return { ...first, flowLps: event.flowLps, oilShare: event.share, waitMinutes };
}

/** L/s along an edge when so many leave its start; all of them, or of the spill, where it gets none of the water. */
const dividedBy = (share: Float64Array, spilledLps: number) => (edge: number, lps: number) =>
  lps * share[edge] > NO_LPS ? lps * share[edge] : Math.max(lps, spilledLps);

/** Minutes in which so many L/s fill so many litres; no litres take no time. */
const minutesToFill = (litres: number, lps: number) => (litres > 0 ? litres / lps / SECONDS_PER_MINUTE : 0);

/** What first times are worked out from. */
interface Going<Flow extends LinkFlow> {
  /** How it goes along an edge that leaves a place. */
  flowOn: (edge: number, from: FlowIndex) => Flow;
  /** Minutes, 0 or more, from when oil enters a structure until it can leave it. */
  stays: (index: FlowIndex) => number;
  runsOn: boolean;
}

/** When oil is where first, and how it goes along each link that it gets to. */
function firstTimes<Flow extends LinkFlow>(
  drainage: Drainage,
  releases: readonly Release[],
  { flowOn, stays, runsOn }: Going<Flow>,
): { minutes: Float64Array; surfaceMinutes: Float64Array; flows: (Flow | null)[] } {
  const { order, linkAt } = drainage;
  const minutes = new Float64Array(order.nodeCount).fill(Number.POSITIVE_INFINITY);
  const surfaceMinutes = minutes.slice();
  const flows = linkAt.map((): Flow | null => null);
  const queue = new TimeQueue<FlowIndex>();
  const reach = (index: FlowIndex, at: number, overSurface: boolean) => {
    if (overSurface && at < surfaceMinutes[index]) surfaceMinutes[index] = at;
    if (at >= minutes[index]) return;
    minutes[index] = at;
    queue.push(index, at);
  };
  for (const { structure, minutes: at } of releases) {
    const index = findFlowIndex(drainage, structure);
    if (index !== undefined) reach(index, at, true);
  }
  for (let next = queue.pop(); next; next = queue.pop()) {
    const { item: index, time } = next;
    // An older entry of a place that has been reached sooner since.
    if (time > minutes[index]) continue;
    const leaves = time + stays(index);
    for (let edge = order.rows[index]; edge < order.rows[index + 1]; edge++) {
      const flow = flowOn(edge, index);
      flows[edge] = flow;
      reach(order.targets[edge], leaves + flow.minutes, arrivesOverSurface(linkAt[edge]));
    }
    if (!runsOn) continue;
    const structure = structureAt(drainage, index);
    const beside = bypassIndex(drainage, structure);
    if (beside === undefined) continue;
    const metres = lengthOf([structure.position, structureAt(drainage, beside).position]);
    reach(beside, time + overlandMinutes(null, metres), true);
  }
  return { minutes, surfaceMinutes, flows };
}

/** L/s of oil and of rain that come in at each place from outside, and what all releases bring together. */
function inflowOf(
  drainage: Drainage,
  releases: readonly Release[],
  rainMmPerH: number,
): { comesIn: Float64Array; spilledLps: number } {
  const comesIn =
    rainMmPerH > 0
      ? runoffAreas(drainage).map((areaM2) => (areaM2 * rainMmPerH) / SECONDS_PER_HOUR)
      : new Float64Array(drainage.order.nodeCount);
  let spilledLps = 0;
  for (const { structure, flowLps } of releases) {
    const index = findFlowIndex(drainage, structure);
    if (index === undefined) continue;
    comesIn[index] += flowLps;
    spilledLps += flowLps;
  }
  return { comesIn, spilledLps };
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

/** A zone's fall where it is known, else that of a zone that states none; ground outside every zone is paved. */
const groundOf = (zone: Zone | null) => ({
  slope: zone ? zoneSlope(zone) : DEFAULT_ZONE_SLOPE,
  surface: zone?.properties.surface,
});

/**
 * What so many L/s on a zone's ground, or outside every zone, bring to each inlet, and how it gets there: divided by the
 * inlets' shares, over their metres (`groundTravel`). The L/s are those that set out; what the ground keeps of them is told
 * beside. O(ways in).
 */
export function releasesFrom(
  zone: Zone | null,
  waysIn: readonly WayIn[],
  flowLps: number,
  { fluid = null, isDry = true }: { fluid?: Fluid | null; isDry?: boolean } = {},
): Release[] {
  return waysIn.map(({ to, share, metres }) => {
    const path = { ...groundOf(zone), metres, flowLps: flowLps * share, fluid, isDry };
    const { lateMinutes: _, ...times } = groundTravel(path);
    return { structure: to, flowLps: path.flowLps, ...times };
  });
}

/**
 * Minutes from a zone's ground until its oil can first be at a structure, for a release of so many L/s in all, in rain of
 * so many mm/h; Infinity where it never gets there. O(edges). From the zone's ground nearest to each inlet, so it is the
 * least over the zone; no time is counted for separators, wells and sumps, and relief pipes count as plain links, since
 * the state of either is not known for days that are past. Throws where `at` is no zone or structure of the map. How far
 * to trust it: `arrivalTimes`.
 */
export function minutesFromZone(
  drainage: Drainage,
  zone: Zone,
  { at, flowLps, rainMmPerH }: { at: string; flowLps: number; rainMmPerH: number },
): number {
  const releases = releasesFrom(zone, waysInFrom(drainage.map, zone), flowLps);
  const { comesIn, spilledLps } = inflowOf(drainage, releases, rainMmPerH);
  const carriedLps = carryWater(drainage, comesIn);
  const along = dividedBy(drainage.waterShare, spilledLps);
  const waterOn = linkFlows(drainage);
  const { minutes } = firstTimes(drainage, releases, {
    flowOn: (edge, from) => waterOn(edge, along(edge, carriedLps[from])),
    stays: () => 0,
    runsOn: false,
  });
  return minutes[flowIndexOf(drainage, at)];
}
