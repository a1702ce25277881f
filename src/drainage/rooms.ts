import type { Structure } from '../site-map/index.ts';
import { type Drainage, findFlowIndex } from './compile.ts';
import { NO_LPS } from './oil-film.ts';
import type { EventFlow } from './relief.ts';

interface Tank {
  lengthM?: number | undefined;
  widthM?: number | undefined;
  waterDepthM?: number | undefined;
}

const LITRES_PER_M3 = 1000;

/** 0 where one of the three is not stated. */
const tankLitres = ({ lengthM = 0, widthM = 0, waterDepthM = 0 }: Tank): number =>
  lengthM * widthM * waterDepthM * LITRES_PER_M3;

/**
 * Litres of water that stand in a separator: by its own length, width and depth of water, else by those of its chambers
 * that state all three. 0 where the map states neither, and for everything else. O(chambers).
 */
export function separatorLitres({ kind, properties }: Structure): number {
  if (kind !== 'separator') return 0;
  const whole = tankLitres(properties);
  return whole > 0 ? whole : (properties.chambers ?? []).reduce((sum, chamber) => sum + tankLitres(chamber), 0);
}

/**
 * Litres that come in before the first goes on: those below the outlet, in dry weather only, since in rain they are there
 * already, and those at which a pump starts, which empties its well whatever the weather. O(1).
 */
export function litresToFill({ kind, properties }: Structure, isDry: boolean): number {
  const well = kind === 'manhole' ? (properties.pumped?.startLitres ?? 0) : 0;
  return well + (isDry ? (properties.sumpLitres ?? 0) : 0);
}

/** By place, the most L/s that may enter it and leave it for a while. */
export interface MostFlow {
  intoLps: Float64Array;
  outOfLps: Float64Array;
}

/**
 * The most that may run anywhere in an event: a pump that has started gives its own L/s until its well is empty, though
 * less comes in. Everything else passes on no more than the event's flow. Ways back in a loop carry no more than that
 * either, so a pump in a loop may send more round than is told here. O(edges) on a map with such a well.
 */
export function mostFlow(drainage: Drainage, { flowLps, share }: EventFlow): MostFlow {
  const { map, order } = drainage;
  const pumps = new Map<number, number>();
  for (const { id, kind, properties } of map.structures) {
    if (kind !== 'manhole' || !properties.pumped?.startLitres) continue;
    const index = findFlowIndex(drainage, id);
    if (index !== undefined) pumps.set(index, properties.pumped.lps);
  }
  if (pumps.size === 0) return { intoLps: flowLps, outOfLps: flowLps };
  const [intoLps, outOfLps] = [flowLps.slice(), flowLps.slice()];
  for (let place = 0; place < order.nodeCount; place++) {
    // A well that nothing comes to never starts.
    if (intoLps[place] > NO_LPS) outOfLps[place] = Math.max(intoLps[place], pumps.get(place) ?? 0);
    const more = outOfLps[place] - flowLps[place];
    if (more <= 0) continue;
    for (let edge = order.rows[place]; edge < order.rows[place + 1]; edge++) {
      const head = order.targets[edge];
      if (head > place) intoLps[head] += more * share[edge];
    }
  }
  return { intoLps, outOfLps };
}
