import { FIRST_INDEX, type FlowIndex, type FlowOrder, type NumbersBy, numbersBy } from '../algorithms/index.ts';
import { told } from '../catalogue/index.ts';
import {
  byId,
  checkSiteMap,
  END_KINDS,
  type Problem,
  problem,
  type Reading,
  type SiteMap,
  type Structure,
} from '../site-map/index.ts';
import { compileDrainage, type Drainage, flowIndexOf, itemAt } from './compile.ts';
import { oilshed } from './oilshed.ts';
import { compositeRunoffC, rainForFlow, rationalFlowLps, runoffCOf } from './runoff.ts';
import { peakFlows } from './water.ts';

/** What lies upstream of a separator. */
export interface SeparatorReport {
  id: string;
  zones: string[];
  /** m²: the whole areas of the zones, also of those that drain here in part. */
  areaM2: number;
  /** Runoff coefficient of the zones together. */
  runoffC: number;
  /** Flow off them in rain of 25.4 mm/h (1 in/h), L/s. */
  flowLps: number;
  /** Minutes that such a rain must last before all of them run to it at once: time of concentration, overland and in pipes. */
  concentrationMinutes: number;
  /** mm/h of rain at which the design flow is reached; null where the map states no design flow. */
  designRainMmPerH: number | null;
}

/** What `check` answers: whether a map is sound, and what its separators protect. */
export interface MapReport {
  /** Number of features by kind, and of all features, structures and links. */
  counts: Record<string, number>;
  /** Errors first, then warnings, then notes. */
  problems: Problem[];
  separators: SeparatorReport[];
  /** Zones with at least one way to an outfall past no separator. */
  unprotected: string[];
  loops: string[][];
  deadEnds: string[];
}

/**
 * Everything that can be said about a map as read, sound or not: what cannot be used is a problem among `problems`, and
 * the rest of the report is about what can. The same map gives the same report. O(features + separators × edges).
 */
export function checkMap({ map, problems }: Reading): MapReport {
  const drainage = compileDrainage(map);
  const unprotected = zonesThatGoRound(drainage);
  const deadEnds = findDeadEnds(map);
  const loops = drainage.loops.map((ids) => [...ids].sort(byId));
  const found = [
    ...problems,
    ...checkSiteMap(map),
    ...loops.map((ids) =>
      problem(
        'loop',
        { id: ids[0], field: null },
        { message: told('drainage.loop', { ids: ids.join(', ') }), cure: told('drainage.check-loop') },
      ),
    ),
    ...deadEnds.map((id) =>
      problem(
        'dead-end',
        { id, field: null },
        { message: told('drainage.dead-end'), cure: told('drainage.draw-onward') },
      ),
    ),
    ...unprotected.map((id) =>
      problem(
        'goes-round',
        { id, field: null },
        { message: told('drainage.goes-round'), cure: told('drainage.lead-to-separator') },
      ),
    ),
  ];
  const rank = { error: 0, warning: 1, note: 2 };
  return {
    counts: countFeatures(map),
    problems: found.sort((a, b) => rank[a.severity] - rank[b.severity]),
    separators: reportSeparators(drainage),
    unprotected,
    loops,
    deadEnds,
  };
}

const INCH_PER_HOUR = 25.4;

/** Times of concentration cost a pass over the map, so they are worked out only where there is a separator to tell them of. */
function reportSeparators(drainage: Drainage): SeparatorReport[] {
  const separators = drainage.map.structures.filter((each) => each.kind === 'separator');
  if (separators.length === 0) return [];
  const { minutes } = peakFlows(drainage, () => INCH_PER_HOUR);
  return separators.map((separator) => reportSeparator(drainage, separator, minutes));
}

function reportSeparator(
  drainage: Drainage,
  { id, properties: { designFlowLps } }: Structure<'separator'>,
  concentration: Float64Array,
): SeparatorReport {
  const zones = oilshed(drainage, id).map(({ zone }) => zone);
  const areaM2 = zones.reduce((sum, zone) => sum + zone.areaM2, 0);
  const runoffC = compositeRunoffC(zones.map((zone) => ({ runoffC: runoffCOf(zone), area: zone.areaM2 })));
  return {
    id,
    zones: zones.map((zone) => zone.id).sort(byId),
    areaM2,
    runoffC,
    flowLps: rationalFlowLps({ runoffC, rainMmPerH: INCH_PER_HOUR, areaM2 }),
    concentrationMinutes: concentration[flowIndexOf(drainage, id)],
    designRainMmPerH:
      designFlowLps === undefined || areaM2 === 0 ? null : rainForFlow({ runoffC, flowLps: designFlowLps, areaM2 }),
  };
}

function countFeatures(map: SiteMap): Record<string, number> {
  const { zones, structures, links, others } = map;
  const counts: Record<string, number> = {
    features: zones.length + structures.length + links.length + others.length,
    zones: zones.length,
    structures: structures.length,
    links: links.length,
  };
  const kinds = [
    ...zones.map(() => 'zone'),
    ...structures.map(({ kind }) => kind),
    ...links.map(({ kind }) => kind),
    ...others.map(({ properties }) => properties.kind),
  ];
  for (const kind of kinds) counts[kind] = (counts[kind] ?? 0) + 1;
  return counts;
}

/**
 * Structures that nothing leads on from, but for ends, where oil has left; a link back to its own start leads nowhere.
 * O(features).
 */
function findDeadEnds(map: SiteMap): string[] {
  const starts = new Set(map.links.filter(({ from, to }) => from !== to).map(({ from }) => from));
  return map.structures
    .filter(({ id, kind }) => !starts.has(id) && !END_KINDS.includes(kind))
    .map(({ id }) => id)
    .sort(byId);
}

/**
 * Zones from which an outfall can be reached in the graph with its separators taken out. By reach, as in `upstreamOf`:
 * neither a share of 0 nor what holds oil ends a way. A walk in breadth from all outfalls at once meets each place once
 * at most. O(nodes + edges).
 */
function zonesThatGoRound(drainage: Drainage): string[] {
  const { map, order } = drainage;
  const kindAt = (index: FlowIndex) => {
    const item = itemAt(drainage, index);
    return 'kind' in item ? item.kind : 'zone';
  };
  // Walk up from the outfalls and stop at separators.
  const open = new Uint8Array(order.nodeCount);
  const { starts, tails } = reversed(order);
  const queue: FlowIndex[] = [];
  for (let index = FIRST_INDEX; index < order.nodeCount; index++) if (kindAt(index) === 'outfall') queue.push(index);
  for (const index of queue) open[index] = 1;
  for (let at = 0; at < queue.length; at++) {
    for (let edge = starts[queue[at]]; edge < starts[queue[at] + 1]; edge++) {
      const place = tails[edge];
      if (open[place] || kindAt(place) === 'separator') continue;
      open[place] = 1;
      queue.push(place);
    }
  }
  return map.zones.filter((_, node) => open[order.indexOf[node]] === 1).map(({ id }) => id);
}

/** Edges by the place that they lead to: those of place p are starts[p] to starts[p + 1] - 1, each with where it comes from. */
function reversed({ nodeCount, rows, targets }: FlowOrder): {
  starts: Int32Array;
  tails: NumbersBy<number, FlowIndex>;
} {
  const starts = new Int32Array(nodeCount + 1);
  for (const head of targets) starts[head + 1]++;
  for (let place = 0; place < nodeCount; place++) starts[place + 1] += starts[place];
  const next = starts.slice(0, nodeCount);
  const tails = new Int32Array(targets.length);
  for (let place = 0; place < nodeCount; place++) {
    for (let edge = rows[place]; edge < rows[place + 1]; edge++) tails[next[targets[edge]]++] = place;
  }
  return { starts, tails: numbersBy(tails) };
}
