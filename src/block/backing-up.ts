import { conduitOf, type Drainage, drainedAreas, flowIndexOf, invertsOf } from '../drainage/index.ts';
import { INLET_KINDS, type Link, type Structure } from '../site-map/index.ts';
import type { BackingUp, PlannedControl } from './answer.ts';

/** Controls that let nothing out any more. */
const CLOSING = ['valve', 'plug'];
const SECONDS_PER_HOUR = 3600;
const LITRES_PER_M3 = 1000;
/** A pipe is cut in so many parts to tell how much of it lies under a level. */
const PARTS = 16;

/**
 * How soon the yard backs up above each outlet that a plan closes: the room below the lowest grate, divided by the runoff
 * of this rain. The room is that of pipes and sumps under the lowest rim where rims and inverts are known, else of all
 * pipes and sumps above; what manholes and the ground hold is left out, so water stands at the grate no sooner only if
 * the map has all pipes. O(structures and links above).
 */
export function backingUpOf(
  drainage: Drainage,
  controls: readonly Pick<PlannedControl, 'at' | 'control'>[],
  rainMmPerH: number,
): BackingUp[] {
  const closed = controls.filter(({ control }) => CLOSING.includes(control));
  if (closed.length === 0) return [];
  const runoffM2 = rainMmPerH > 0 ? drainedAreas(drainage).runoffM2 : null;
  return closed.map(({ at }) => {
    const { litres, floods, from } = roomAbove(drainage, at);
    const lps = runoffM2 ? (runoffM2[flowIndexOf(drainage, at)] * rainMmPerH) / SECONDS_PER_HOUR : 0;
    return { at, minutes: lps > 0 && floods !== null ? litres / lps / 60 : null, floods, from };
  });
}

/** Litres that fit in above a closed outlet until water stands at a grate, which grate, and what that rests on. */
function roomAbove(drainage: Drainage, at: string): { litres: number; floods: string | null; from: BackingUp['from'] } {
  const { structures, links } = partAbove(drainage, at);
  const invertOf = invertsOf(drainage.map);
  const inlets = structures.filter(({ kind }) => INLET_KINDS.includes(kind));
  const ends = links.map((link) => [
    link.properties.fromInvert ?? invertOf(link.from),
    link.properties.toInvert ?? invertOf(link.to),
  ]);
  const isLevelled =
    inlets.every(({ properties }) => properties.rim !== undefined) &&
    links.every(({ kind }, each) => kind !== 'pipe' || !ends[each].includes(undefined));
  const rimOf = ({ properties }: Structure) => properties.rim ?? Number.POSITIVE_INFINITY;
  const lowest = inlets.reduce<Structure | null>((low, each) => (low && rimOf(low) <= rimOf(each) ? low : each), null);
  const level = isLevelled && lowest ? rimOf(lowest) : Number.POSITIVE_INFINITY;
  const sumps = structures.reduce((sum, { properties }) => sum + (properties.sumpLitres ?? 0), 0);
  const pipes = links.reduce((sum, link, each) => {
    const { section } = conduitOf(link, invertOf);
    if (link.kind !== 'pipe' || section.shape !== 'round') return sum;
    const [start = 0, end = 0] = ends[each];
    const { diameterM } = section;
    return sum + LITRES_PER_M3 * link.lengthM * areaUnder(level, { start, end, diameterM });
  }, 0);
  return { litres: sumps + pipes, floods: lowest?.id ?? null, from: isLevelled ? 'levels' : 'pipes' };
}

/** What drains to a structure by links, itself among it, but for rising mains: a pump's check valve lets nothing back into them. */
function partAbove({ map }: Drainage, at: string): { structures: Structure[]; links: Link[] } {
  const above = new Set([at]);
  const into = new Map<string, string[]>();
  for (const { from, to } of map.links) into.set(to, [...(into.get(to) ?? []), from]);
  // A set is gone through with what is added to it meanwhile.
  for (const id of above) for (const from of into.get(id) ?? []) above.add(from);
  const pumped = new Set(
    map.structures.flatMap((each) => (each.kind === 'manhole' && each.properties.pumped ? [each.id] : [])),
  );
  return {
    structures: map.structures.filter(({ id }) => above.has(id)),
    links: map.links.filter(({ from, to }) => above.has(to) && !pumped.has(from)),
  };
}

/** m² of a pipe's section under a level, the mean along it; inverts and level in metres. */
function areaUnder(
  level: number,
  { start, end, diameterM }: { start: number; end: number; diameterM: number },
): number {
  let sum = 0;
  for (let part = 0; part < PARTS; part++) {
    const invert = start + ((part + 0.5) / PARTS) * (end - start);
    sum += segment(Math.min(1, Math.max(0, (level - invert) / diameterM)));
  }
  return (sum / PARTS) * diameterM ** 2;
}

/** The area of a circle of diameter 1 under a depth, 0 to 1. */
const segment = (depth: number) =>
  Math.acos(1 - 2 * depth) / 4 - ((1 - 2 * depth) * Math.sqrt(depth * (1 - depth))) / 2;
