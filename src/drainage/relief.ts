import type { Drainage } from './compile.ts';
import { carryLoop, carryWater } from './water.ts';

/** Water of one event: how much enters each place, and how it divides. */
export interface EventFlow {
  /** By place of the flow order, L/s. */
  flowLps: Float64Array;
  /** By edge position: the part of what leaves the edge's start that goes this way in this event. */
  share: Float64Array;
}

/**
 * Carries the water of one event as `carryWater` does, with relief pipes (links with `aboveLps`) as far open as the flow
 * calls for: of the flow above its `aboveLps` such a link takes its stated share, all of it where none is stated, and the
 * other ways out divide the rest as their shares say. Of several the one that starts highest is served first. Where
 * nothing but relief pipes takes water they are plain links. `comesIn` is by place in L/s, 0 or more.
 *
 * One pass in flow order, since what a place gets outside a loop is whole when the pass comes to it. In a loop relief
 * pipes open by the flow that there would be with all of them shut, so they may take too much. O(edges), in a loop times
 * its rounds.
 */
export function carryEvent(drainage: Drainage, comesIn: Float64Array): EventFlow {
  const { order, waterShare } = drainage;
  const { nodeCount, loops } = order;
  const reliefs = reliefPlaces(drainage);
  if (reliefs.length === 0) return { flowLps: carryWater(drainage, comesIn), share: waterShare };
  const share = waterShare.slice();
  const carried = { order, waterShare: share };
  const flowLps = comesIn.slice();
  let [loop, relief] = [0, 0];
  for (let place = 0; place < nodeCount; place++) {
    const isLoop = loop < loops.length && place === loops[loop].first;
    const end = isLoop ? loops[loop++].end : place + 1;
    const here: number[] = [];
    while (relief < reliefs.length && reliefs[relief] < end) here.push(reliefs[relief++]);
    let whenShut = flowLps;
    if (isLoop && here.length > 0) {
      for (const each of here) divideAt(drainage, each, { flowLps: 0, share });
      whenShut = flowLps.slice();
      carryLoop(carried, { first: place, end, entered: whenShut });
    }
    for (const each of here) divideAt(drainage, each, { flowLps: whenShut[each], share });
    // A place outside loops is carried on as a loop of one.
    carryLoop(carried, { first: place, end, entered: flowLps });
    place = end - 1;
  }
  return { flowLps, share };
}

/** Places that have a relief pipe among their ways out and another that takes water, in flow order. O(edges). */
function reliefPlaces({ order: { nodeCount, rows }, linkAt, waterShare }: Drainage): number[] {
  const places: number[] = [];
  for (let place = 0; place < nodeCount; place++) {
    let [hasRelief, hasOther] = [false, false];
    for (let edge = rows[place]; edge < rows[place + 1]; edge++) {
      if (linkAt[edge]?.properties.aboveLps !== undefined) hasRelief = true;
      else if (waterShare[edge] > 0) hasOther = true;
    }
    if (hasRelief && hasOther) places.push(place);
  }
  return places;
}

/** Sets the shares of a place's ways out for so many L/s. What leaves the map on the way stays the same part of it. */
function divideAt(
  { order: { rows }, linkAt, waterShare }: Drainage,
  place: number,
  { flowLps, share }: { flowLps: number; share: Float64Array },
): void {
  const reliefs: { edge: number; aboveLps: number; part: number }[] = [];
  let [all, others] = [0, 0];
  for (let edge = rows[place]; edge < rows[place + 1]; edge++) {
    const { aboveLps, share: part = 1 } = linkAt[edge]?.properties ?? {};
    all += waterShare[edge];
    if (aboveLps === undefined) others += waterShare[edge];
    else reliefs.push({ edge, aboveLps, part });
  }
  let left = flowLps;
  for (const { edge, aboveLps, part } of reliefs.sort((a, b) => b.aboveLps - a.aboveLps)) {
    const takes = Math.max(0, left - aboveLps) * part;
    share[edge] = flowLps > 0 ? (all * takes) / flowLps : 0;
    left -= takes;
  }
  const rest = flowLps > 0 ? left / flowLps : 1;
  for (let edge = rows[place]; edge < rows[place + 1]; edge++) {
    if (linkAt[edge]?.properties.aboveLps === undefined) share[edge] = ((all * waterShare[edge]) / others) * rest;
  }
}
