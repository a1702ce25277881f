import { type EdgeRows, edgeRows, type FlowIndex, flowOrder, nodeNumber } from '../algorithms/index.ts';
import {
  type Arrivals,
  arrivesOverSurface,
  type Drainage,
  findFlowIndex,
  groundTravel,
  holdsAtFlow,
  structureAt,
} from '../drainage/index.ts';
import { isOfKind, lengthOf, planAreaOf, type Structure } from '../site-map/index.ts';

/** A structure that the spill can reach, and what it does to the oil that comes through it. */
export interface Reached {
  index: FlowIndex;
  structure: Structure;
  /** Where oil that gets there has gone: into water, into somebody else's drain; null where it is still on its way. */
  end: 'water' | 'public' | null;
  /** Whether oil in it is in somebody else's drain: it is public, or such an end. */
  isPublic: boolean;
  /** Whether the spill's own ground drains to its grate, or would once the grates beside it are covered. */
  isOwnGrate: boolean;
  insert: { holds: number; litres: number } | null;
  /** Litres below its outlet that fill first; 0 in rain, when they stand full of water. */
  sumpLitres: number;
  holds: number;
  roomLitres: number;
  waitMinutes: number;
  pump: { start: number; perMinute: number } | null;
  /** Whether it is a valve that the map says is closed. */
  isClosed: boolean;
  /** The way along which what a cover keeps runs on; -1 where it stays. */
  runsOn: number;
  /** The way to which each diverter turns what comes, by the diverter's id; null where there is none. */
  diverts: ReadonlyMap<string, number> | null;
}

/** A way from one reached structure to another. */
export interface Way {
  /** Position of the edge in the flow order; -1 for a way that only a cover or a diverter opens. */
  edge: number;
  from: number;
  to: number;
  share: number;
  minutes: number;
  /** The same where what the ground keeps is not counted on: then the film itself takes time. */
  filmMinutes: number;
  /** Litres that the ground under it keeps. */
  keepsLitres: number;
  isOverSurface: boolean;
  isPublic: boolean;
}

/** Over the spill's own ground to one of its inlets. */
export interface GroundWay {
  to: number;
  share: number;
  minutes: number;
  /** As of a way. */
  filmMinutes: number;
  keepsLitres: number;
}

/** The part of the yard that a spill can reach, in a flow order of its own, for following its litres. */
export interface Layout {
  reached: Reached[];
  ways: Way[];
  /** Positions of the ways out of each structure, and of those into it, in `ways`. */
  out: EdgeRows;
  into: EdgeRows;
  /** Ranges of structures that flow in a circle, from low to high. */
  loops: { first: number; end: number }[];
  ground: GroundWay[];
  /** The number of each reached structure, by its id. */
  numberOf: ReadonlyMap<string, number>;
}

/** Litres of oil that a separator has room for, for each L/s of its design flow (EN 858-1, from memory). */
const ROOM_PER_LPS = 15;
/** Depth of oil at which a separator is to be emptied where the map states none, in mm (1 in). Common practice. */
const OIL_LIMIT_MM = 25.4;
/** Fall of ground on which a way is on no map. A guess. */
const DEFAULT_FALL = 0.02;
/** In a loop oil takes at least so long along each way, a second, so that going round takes time. */
const LEAST_MINUTES = 1 / 60;

/** What the layout of a spill rests on. */
export interface LayoutFacts {
  arrivals: Arrivals;
  /** How the oil gets from where it was spilled to the inlets: the inlet, its share, minutes and what the ground keeps. */
  ground: readonly (Omit<GroundWay, 'to'> & { structure: string })[];
  isDry: boolean;
  /** Litres of room in a separator by its last reading; undefined where none is known. */
  roomOf: (separator: string) => number | undefined;
}

type Found = Omit<Way, 'from' | 'to'> & { from: FlowIndex; to: FlowIndex; diverter: string | null; isRunOn: boolean };

/**
 * Lays out what a spill can reach: along links, over the ground past covered grates, and where a diverter could send
 * it. O(reached structures and ways), after a look at all diverters.
 */
export function layOut(drainage: Drainage, facts: LayoutFacts): Layout {
  const starts = facts.ground.flatMap(({ structure }) => findFlowIndex(drainage, structure) ?? []);
  const { indices, found } = search(drainage, starts, facts);
  const local = new Map(indices.map((index, at) => [index, at]));
  const order = flowOrder({
    nodeCount: indices.length,
    from: Int32Array.from(found, ({ from }) => local.get(from) ?? 0),
    to: Int32Array.from(found, ({ to }) => local.get(to) ?? 0),
  });
  const numberAt = (index: FlowIndex) => order.indexOf[nodeNumber(local.get(index) ?? 0)];
  const isInLoop = (number: number) => order.loops.some(({ first, end }) => first <= number && number < end);
  const ways = found.map(({ diverter: _, isRunOn: __, ...way }): Way => {
    const [from, to] = [numberAt(way.from), numberAt(way.to)];
    const least = isInLoop(from) && isInLoop(to) ? LEAST_MINUTES : 0;
    const [minutes, filmMinutes] = [Math.max(least, way.minutes), Math.max(least, way.filmMinutes)];
    return { ...way, from, to, minutes, filmMinutes };
  });
  const opened = openedBy(found);
  const own = ownGrates(starts, found, opened);
  const reached = Array.from(order.nodeAt, (node) =>
    reachedAt(drainage, indices[node], { ...facts, isOwnGrate: own.has(indices[node]), opened }),
  );
  const numberOf = new Map(reached.map(({ structure: { id } }, number) => [id, number]));
  return {
    reached,
    ways,
    out: edgeRows(
      reached.length,
      ways.map(({ from }) => from),
    ),
    into: edgeRows(
      reached.length,
      ways.map(({ to }) => to),
    ),
    loops: order.loops,
    ground: facts.ground.flatMap(({ structure, ...way }) => {
      const to = numberOf.get(structure);
      return to === undefined ? [] : [{ ...way, to }];
    }),
    numberOf,
  };
}

/** Everything that oil from these structures can get to, and the ways between. */
function search(
  drainage: Drainage,
  starts: readonly FlowIndex[],
  { arrivals }: LayoutFacts,
): { indices: FlowIndex[]; found: Found[] } {
  const met = new Set(starts);
  const found: Found[] = [];
  const diverters = divertersOf(drainage);
  // A set is gone through with what is added to it meanwhile.
  for (const index of met) {
    const ways = [
      ...linksFrom(drainage, index, arrivals),
      ...runOnFrom(drainage, index, arrivals),
      ...(diverters.get(index) ?? []).map(({ id, to }) => divertedTo(drainage, { index, to, id }, arrivals)),
    ];
    found.push(...ways);
    for (const { to } of ways) met.add(to);
  }
  return { indices: [...met], found };
}

function linksFrom({ order, linkAt }: Drainage, from: FlowIndex, { flows, oilShare }: Arrivals): Found[] {
  const ways: Found[] = [];
  for (let edge = order.rows[from]; edge < order.rows[from + 1]; edge++) {
    const [link, flow] = [linkAt[edge], flows[edge]];
    if (!link) continue;
    ways.push({
      edge,
      from,
      to: order.targets[edge],
      share: oilShare[edge],
      minutes: flow?.likelyMinutes ?? 0,
      filmMinutes: flow?.filmMinutes ?? 0,
      keepsLitres: flow?.keepsLitres ?? 0,
      isOverSurface: arrivesOverSurface(link),
      isPublic: link.properties.ownership === 'public',
      diverter: null,
      isRunOn: false,
    });
  }
  return ways;
}

/** Where a grate does not lie in a sag, what its cover keeps runs on to the next inlet. */
function runOnFrom(drainage: Drainage, from: FlowIndex, arrivals: Arrivals): Found[] {
  const { properties } = structureAt(drainage, from);
  if (properties.setting === 'sag' || properties.spillsTo === undefined) return [];
  const to = findFlowIndex(drainage, properties.spillsTo);
  if (to === undefined || to === from) return [];
  return [{ ...overGround(drainage, { from, to }, arrivals), isOverSurface: true, diverter: null, isRunOn: true }];
}

function divertedTo(
  drainage: Drainage,
  { index, to, id }: { index: FlowIndex; to: FlowIndex; id: string },
  arrivals: Arrivals,
): Found {
  const way = overGround(drainage, { from: index, to }, arrivals);
  return { ...way, isOverSurface: false, diverter: id, isRunOn: false };
}

/** A way that is on no map, as fast as over the ground. */
function overGround(
  drainage: Drainage,
  { from, to }: { from: FlowIndex; to: FlowIndex },
  { flowLps }: Arrivals,
): Omit<Found, 'isOverSurface' | 'diverter' | 'isRunOn'> {
  const metres = lengthOf([structureAt(drainage, from).position, structureAt(drainage, to).position]);
  const { minutes } = groundTravel({
    metres,
    slope: DEFAULT_FALL,
    surface: 'asphalt',
    flowLps: flowLps[from],
    fluid: null,
    isDry: false,
  });
  return { edge: -1, from, to, share: 0, minutes, filmMinutes: minutes, keepsLitres: 0, isPublic: false };
}

/** Diverters by the structure at which they stand. */
function divertersOf(drainage: Drainage): Map<FlowIndex, { id: string; to: FlowIndex }[]> {
  const diverters = new Map<FlowIndex, { id: string; to: FlowIndex }[]>();
  for (const feature of drainage.map.others) {
    if (!isOfKind(feature, 'diverter')) continue;
    const [at, to] = [feature.properties.at, feature.properties.to].map((id) => findFlowIndex(drainage, id));
    if (at === undefined || to === undefined || at === to) continue;
    diverters.set(at, [...(diverters.get(at) ?? []), { id: feature.id, to }]);
  }
  return diverters;
}

/** Ways that only a cover or a diverter opens, by where they start. */
interface Opened {
  runsOn: ReadonlyMap<FlowIndex, number>;
  diverts: ReadonlyMap<FlowIndex, ReadonlyMap<string, number>>;
}

function openedBy(found: readonly Found[]): Opened {
  const runsOn = new Map<FlowIndex, number>();
  const diverts = new Map<FlowIndex, Map<string, number>>();
  found.forEach(({ from, diverter, isRunOn }, way) => {
    if (isRunOn) runsOn.set(from, way);
    if (diverter !== null) diverts.set(from, (diverts.get(from) ?? new Map<string, number>()).set(diverter, way));
  });
  return { runsOn, diverts };
}

/** The spill's own grates: those that its ground drains to, and those on which that runs on where they are covered. */
function ownGrates(starts: readonly FlowIndex[], found: readonly Found[], { runsOn }: Opened): ReadonlySet<FlowIndex> {
  const own = new Set(starts);
  for (const index of own) {
    const way = runsOn.get(index);
    if (way !== undefined) own.add(found[way].to);
  }
  return own;
}

function reachedAt(
  drainage: Drainage,
  index: FlowIndex,
  { arrivals, isDry, roomOf, isOwnGrate, opened }: LayoutFacts & { isOwnGrate: boolean; opened: Opened },
): Reached {
  const structure = structureAt(drainage, index);
  const { insert, sumpLitres = 0, ownership } = structure.properties;
  const end = endOf(structure);
  const pumped = structure.kind === 'manhole' ? structure.properties.pumped : undefined;
  return {
    index,
    structure,
    end,
    isPublic: end === 'public' || (end === null && ownership === 'public'),
    isOwnGrate,
    insert: insert ? { holds: insert.holds, litres: insert.litres ?? Number.POSITIVE_INFINITY } : null,
    sumpLitres: isDry ? sumpLitres : 0,
    holds: holdsAtFlow(structure, arrivals.flowLps[index]),
    roomLitres: roomIn(structure, roomOf),
    waitMinutes: arrivals.waitMinutes[index],
    pump: pumped ? { start: pumped.startLitres ?? 0, perMinute: pumped.lps * 60 } : null,
    isClosed: structure.kind === 'valve' && structure.properties.state === 'closed',
    runsOn: opened.runsOn.get(index) ?? -1,
    diverts: opened.diverts.get(index) ?? null,
  };
}

/**
 * Outfalls are water, unless what they discharge to is a drain or a sewer; those, sanitary connections and places where
 * the map ends are somebody else's drain.
 */
function endOf({ kind, properties }: Structure): Reached['end'] {
  if (kind === 'sanitary' || kind === 'edge') return 'public';
  if (kind !== 'outfall') return null;
  return /drain|sewer/i.test(properties.receives ?? '') ? 'public' : 'water';
}

/** Litres of oil that a structure has room for: endless but in a separator of which something is known. */
function roomIn(structure: Structure, roomOf: LayoutFacts['roomOf']): number {
  if (structure.kind !== 'separator') return Number.POSITIVE_INFINITY;
  const { roomLitres, designFlowLps, oilLimitMm = OIL_LIMIT_MM } = structure.properties;
  const known = roomLitres ?? roomOf(structure.id);
  if (known !== undefined) return known;
  if (designFlowLps !== undefined) return ROOM_PER_LPS * designFlowLps;
  const areaM2 = planAreaOf(structure);
  return areaM2 === null ? Number.POSITIVE_INFINITY : areaM2 * oilLimitMm;
}
