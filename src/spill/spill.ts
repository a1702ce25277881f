import { beginningOf, type Curve, FIRST_INDEX, type FlowIndex, minuteOf, totalOf } from '../algorithms/index.ts';
import {
  type Arrivals,
  conduitOf,
  type Drainage,
  findFlowIndex,
  invertsOf,
  structureAt,
  type Taken,
} from '../drainage/index.ts';
import { byId, type Fluid, type Problem, type StructureKind } from '../site-map/index.ts';
import { type ModelFacts, type SpillModel, spillModel } from './model.ts';
import type { SpillLitres } from './placed.ts';
import { type PosedSpill, poseSpill, type SpillQuestion } from './question.ts';
import type { SpillStart } from './start.ts';

/** Oil gets to a structure. */
export interface SpillArrival {
  id: string;
  /** Minutes from now until it can first be there, 0 where it can be there already. */
  minutes: number;
  /** Litres that enter it in the end, each counted once. */
  litres: number;
  /** When it is likely there, minutes from now: the first drop, half of what will pass, 99 % of it; null where none will. */
  likely: { first: number; half: number; last: number } | null;
}

/** Oil goes along a link, in minutes from now; below 0 where that is past. */
export interface SpillWay {
  id: string;
  from: number;
  to: number;
  /** More runs than the pipe carries with air above it. */
  isSurcharged: boolean;
}

/** What `spill` answers. */
export interface SpillAnswer {
  /** The zone whose ground it is on; null outside every zone. */
  zone: string | null;
  /** The structures it drains into first; empty when nothing drains from there. */
  inlets: string[];
  fluid: Fluid | null;
  /** The spill with everything that was filled in. */
  spill: Omit<PosedSpill, 'start'>;
  /** Where its litres are in the end if nothing is done. */
  litres: SpillLitres;
  /** Litres that get past its own grates if nothing is done. */
  pastGrates: number;
  /** First come first. */
  arrivals: SpillArrival[];
  /** Links that oil gets to, first come first. */
  ways: SpillWay[];
  /** Separators it gets to, first come first. */
  separators: string[];
  /** Outfalls it gets to, and whether every way there passes a separator. */
  outfalls: { id: string; minutes: number; pastSeparator: boolean }[];
  /** Pipes and swales on the way whose times rest on defaults. */
  defaults: DefaultsUsed;
}

/** Links by what was taken for them: no diameter stated, no slope and no inverts, or flat or uphill, so that the least fall was used. */
export type DefaultsUsed = Record<Taken, string[]>;

/**
 * Where will it go, and when? Times are "no sooner than", litres what is left after ground, inserts and structures.
 * `answer` is null, with the problem that says why, only for a zone that is not on the map; from a point that nothing
 * drains from the answer has no inlets, and a problem says so too. O(edges), and for each place in a loop O(edges
 * above).
 *
 * A time is that of the quickest way (Dijkstra 1959) for oil that runs with the water: thick oils come later, and what
 * holds oil back delays nothing. The litres of a separator rest on what it holds at the flow of this rain, most of it a
 * guess. Neither says how much comes when. In a loop that loses nothing, litres are told as 0, though all of the oil
 * that got there is in it.
 *
 * @example
 * import { compileDrainage } from 'oilshed/drainage';
 * import { readSiteMap } from 'oilshed/site-map';
 * import { findSpill } from 'oilshed/spill';
 * const lid = (id: string, kind: string, x: number) => ({ type: 'Feature', id, properties: { kind }, geometry: { type: 'Point', coordinates: [x, 40] } });
 * const line = { type: 'LineString', coordinates: [[-105, 40], [-104.999, 40]] };
 * const pipe = { type: 'Feature', id: 'P-1', properties: { kind: 'pipe', from: 'CB-1', to: 'OUT-1' }, geometry: line };
 * const ring = [[-105.001, 40], [-105, 40], [-105, 40.001], [-105.001, 40]];
 * const zone = { type: 'Feature', id: 'Z-1', properties: { kind: 'zone', activity: 'parking', drainsTo: 'CB-1' }, geometry: { type: 'Polygon', coordinates: [ring] } };
 * const features = [lid('CB-1', 'catch-basin', -105), lid('OUT-1', 'outfall', -104.999), pipe, zone];
 * const { map } = readSiteMap(JSON.stringify({ type: 'FeatureCollection', site: { format: 'oilshed-site', version: 1 }, features }));
 * // In rain the ground keeps nothing; a catch basin that states nothing holds a tenth of the oil.
 * const { answer } = findSpill(compileDrainage(map), { place: { zone: 'Z-1' }, litres: 100, rainMmPerH: 10 });
 * answer?.arrivals.map(({ id, litres }) => [id, litres]); // → [['CB-1', 100], ['OUT-1', 90]]
 * answer?.outfalls.map(({ pastSeparator }) => pastSeparator); // → [false]
 */
export function findSpill(
  drainage: Drainage,
  question: SpillQuestion,
  facts?: ModelFacts,
): { answer: SpillAnswer | null; problems: Problem[] } {
  const { posed, problems } = poseSpill(drainage, question);
  if (!posed) return { answer: null, problems };
  return { answer: answerOf(spillModel(drainage, posed, facts)), problems };
}

/** The answer for a spill that nothing is done about. */
function answerOf(model: SpillModel): SpillAnswer {
  const { drainage, posed, arrivals, layout } = model;
  const { start, agoMinutes, fluid } = posed;
  const run = model.run([]);
  const first = run.firstEntries();
  const fromNow = (minutes: number) => Math.max(0, minutes - agoMinutes);
  const reached = layout.reached
    .map(({ index, structure }, number) => ({
      index,
      structure,
      minutes: arrivals.minutes[index],
      come: first[number],
    }))
    .filter(({ minutes }) => Number.isFinite(minutes))
    .sort((a, b) => a.minutes - b.minutes || a.index - b.index);
  const ofKind = (kind: StructureKind) => reached.filter(({ structure }) => structure.kind === kind);
  const unguarded = pastNoSeparator(drainage, start);
  const { start: _, ...spill } = posed;
  return {
    zone: start.zone?.id ?? null,
    inlets: start.waysIn.map(({ to }) => to),
    fluid,
    spill,
    litres: run.litres(),
    pastGrates: run.pastGrates,
    arrivals: reached.map(({ structure: { id }, minutes, come }) => ({
      id,
      minutes: fromNow(minutes),
      litres: totalOf(come),
      // Where a curve is kept on a grid its first drop may be told a step too soon.
      likely: likelyOf(come, (minute) => fromNow(Math.max(minutes, minute))),
    })),
    ways: waysOf(model),
    defaults: defaultsOn(drainage, arrivals.flows),
    separators: ofKind('separator').map(({ structure }) => structure.id),
    outfalls: ofKind('outfall').map(({ index, minutes, structure: { id } }) => ({
      id,
      minutes: fromNow(minutes),
      pastSeparator: unguarded[index] === 0,
    })),
  };
}

/** Part of what will pass by when it is taken to be over. */
const NEARLY_ALL = 0.99;

function likelyOf(come: Curve, fromNow: (minutes: number) => number): SpillArrival['likely'] {
  const all = totalOf(come);
  if (all === 0) return null;
  return {
    first: fromNow(beginningOf(come)),
    half: fromNow(minuteOf(come, all / 2)),
    last: fromNow(minuteOf(come, NEARLY_ALL * all)),
  };
}

/** The links that oil gets to, first come first. */
function waysOf({
  drainage: { order, linkAt },
  arrivals: { minutes, flows },
  posed: { agoMinutes },
}: SpillModel): SpillWay[] {
  const ways: SpillWay[] = [];
  for (let index = FIRST_INDEX; index < order.nodeCount; index++) {
    for (let edge = order.rows[index]; edge < order.rows[index + 1]; edge++) {
      const [flow, link] = [flows[edge], linkAt[edge]];
      if (!flow || !link) continue;
      const from = minutes[index] - agoMinutes;
      ways.push({ id: link.id, from, to: from + flow.minutes, isSurcharged: flow.isSurcharged });
    }
  }
  return ways.sort((a, b) => a.from - b.from || byId(a.id, b.id));
}

function defaultsOn({ map, linkAt }: Drainage, flows: Arrivals['flows']): DefaultsUsed {
  const used: DefaultsUsed = { diameter: [], slope: [], flat: [] };
  const invertOf = invertsOf(map);
  flows.forEach((flow, edge) => {
    const link = linkAt[edge];
    if (flow && link && link.kind !== 'overland')
      for (const each of conduitOf(link, invertOf).taken) used[each].push(link.id);
  });
  return used;
}

/**
 * 1 for each place that oil from the start can get to past no separator. A search that goes on from everything but
 * separators finds exactly those: an outfall it does not find is reached through a separator on every way. O(edges).
 */
function pastNoSeparator(drainage: Drainage, { waysIn }: SpillStart): Uint8Array {
  const { order } = drainage;
  const met = new Uint8Array(order.nodeCount);
  const queue: FlowIndex[] = [];
  const meet = (index: FlowIndex) => {
    if (met[index] === 1) return;
    met[index] = 1;
    if (structureAt(drainage, index).kind !== 'separator') queue.push(index);
  };
  for (const { to } of waysIn) {
    const index = findFlowIndex(drainage, to);
    if (index !== undefined) meet(index);
  }
  for (let index = queue.pop(); index !== undefined; index = queue.pop()) {
    for (let edge = order.rows[index]; edge < order.rows[index + 1]; edge++) meet(order.targets[edge]);
  }
  return met;
}
