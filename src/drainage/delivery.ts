import {
  type FlowIndex,
  type FlowOrder,
  flowOrder,
  type NodeNumber,
  type NumbersBy,
  numbersBy,
  solveLoop,
} from '../algorithms/index.ts';
import type { Flow } from './compile.ts';

/** What a backward pass finds for every place of the flow order, with regard to one point. */
export interface Upstream {
  /** 1 where a way leads to the point, whatever is held on it; the point itself is 1. */
  reaches: Uint8Array;
  /** d: the chance that a drop released there ever enters the point, 0 to 1; the point itself is 1. */
  delivered: Float64Array;
}

/**
 * Reach and delivery to one point, in one pass over the edges from the point upwards.
 *
 * `delivered` is taken before what the point itself holds. In a loop it is the chance of ever entering the point: entries
 * there ÷ entries when starting from it. `target` is a place of the order. O(places, and edges that start before the
 * place); a loop adds the cost of `solveLoop`.
 *
 * For any other place x, d(x) = (1 − holds(x)) · Σ over its edges of share · d(end): a drop either stays at x or takes
 * one of its ways out, whatever way it came, and what the shares leave of 1 is gone. Outside a loop every edge leads to a
 * higher place, whose d is known when the pass, going down, comes to x; so each is worked out once. Places that come
 * after the point in the order, its own loop aside, have no way back to it: theirs stay 0. All terms are positive, so the
 * error is some roundings for each step of the way.
 *
 * It is as good as the shares and holds of the map, which are the same in a drizzle and in a storm here. A place may have
 * a `reaches` of 1 and a `delivered` of 0: where everything is held on the way, or goes another way.
 */
export function upstreamOf(flow: Flow, target: FlowIndex): Upstream {
  const { order, share, holds } = flow;
  const { nodeCount, rows, targets, loops } = order;
  const reaches = new Uint8Array(nodeCount);
  const delivered = new Float64Array(nodeCount);
  reaches[target] = 1;
  delivered[target] = 1;

  let loop = loops.length - 1;
  while (loop >= 0 && loops[loop].first > target) loop--;
  // A point in a loop can also be reached from the places of that loop that come after it, so the pass begins at the
  // loop's end.
  let place = loop >= 0 && loops[loop].end > target ? loops[loop].end - 1 : target - 1;
  while (place >= 0) {
    if (loop >= 0 && place < loops[loop].end && place >= loops[loop].first) {
      passLoop(flow, { ...loops[loop], target }, { reaches, delivered });
      place = loops[loop--].first - 1;
      continue;
    }
    let sum = 0;
    let reach = 0;
    for (let edge = rows[place]; edge < rows[place + 1]; edge++) {
      const head = targets[edge];
      reach |= reaches[head];
      sum += share[edge] * delivered[head];
    }
    reaches[place] = reach;
    delivered[place] = sum * (1 - holds[place]);
    place--;
  }
  return { reaches, delivered };
}

/**
 * One loop, whose places first to end - 1 may or may not hold the target. What leaves the loop for a place that is done
 * is a hit, with the chance that is known there; so is a step onto the target, whose d is 1. What goes on from the target
 * is left out: a drop that has been there counts, whether it ever comes again or not.
 */
function passLoop(
  { order: { rows, targets }, share, holds }: Flow,
  { first, end, target }: { first: number; end: number; target: number },
  { reaches, delivered }: Upstream,
): void {
  const size = end - first;
  const hit = new Float64Array(size);
  const [from, to, chance]: [number[], number[], number[]] = [[], [], []];
  let reach = 0;
  for (let place = first; place < end; place++) {
    if (place === target) reach = 1;
    for (let edge = rows[place]; edge < rows[place + 1]; edge++) {
      const head = targets[edge];
      reach |= reaches[head];
      if (place === target) continue;
      if (head >= first && head < end && head !== target) {
        from.push(place - first);
        to.push(head - first);
        chance.push(share[edge] * (1 - holds[place]));
      } else {
        hit[place - first] += share[edge] * (1 - holds[place]) * delivered[head];
      }
    }
  }
  if (reach === 0) return;
  // All of a loop reaches whatever any of it reaches.
  reaches.fill(1, first, end);
  const answer = solveLoop({ size, from, to, chance, hit });
  for (let place = first; place < end; place++) if (place !== target) delivered[place] = answer[place - first];
}

/** The part of a flow from which one place can be reached, laid out anew, so that many passes over it cost little. */
export interface UpstreamPart extends Flow {
  /** Place in the whole flow of each place of the part. */
  wholePlace: NumbersBy<FlowIndex, FlowIndex>;
  /** Place of the point itself in the part. */
  target: FlowIndex;
}

/**
 * Cuts out what lies upstream of a place, itself included. O(nodes + edges). Delivery to the place is the same in the
 * part as in the whole: oil that takes an edge out of the part never gets there. Shares keep their size, so those of a
 * place may add up to less than 1.
 */
export function upstreamPart(flow: Flow, target: FlowIndex): UpstreamPart {
  const { order } = flow;
  const { reaches } = upstreamOf(flow, target);
  const kept = Int32Array.from(reaches.keys()).filter((place) => reaches[place] === 1);
  const number = numbersBy<FlowIndex, NodeNumber>(new Int32Array(order.nodeCount).fill(-1));
  kept.forEach((place, node) => {
    number[place] = node;
  });
  const [from, to, shares]: [number[], number[], number[]] = [[], [], []];
  for (const place of kept) {
    for (let edge = order.rows[place]; edge < order.rows[place + 1]; edge++) {
      if (number[order.targets[edge]] < 0) continue;
      from.push(number[place]);
      to.push(number[order.targets[edge]]);
      shares.push(flow.share[edge]);
    }
  }
  const part = flowOrder({ nodeCount: kept.length, from: Int32Array.from(from), to: Int32Array.from(to) });
  const wholePlace = numbersBy<FlowIndex, FlowIndex>(part.nodeAt.map((node) => kept[node]));
  return {
    order: part,
    share: Float64Array.from(part.edgeAt, (edge) => shares[edge]),
    holds: Float64Array.from(wholePlace, (place) => flow.holds[place]),
    wholePlace,
    target: part.indexOf[number[target]],
  };
}

/**
 * 1 for every place that oil from the given places can get to, those places included. By links alone: neither what holds
 * it nor a share of 0 ends it. One pass from the first place to the last does, since outside a loop every edge leads to a
 * higher place, and all of a loop can be reached from any of it. O(places + edges).
 */
export function downstreamOf({ nodeCount, rows, targets, loops }: FlowOrder, starts: Iterable<FlowIndex>): Uint8Array {
  const reached = new Uint8Array(nodeCount);
  for (const index of starts) reached[index] = 1;
  let loop = 0;
  for (let place = 0; place < nodeCount; place++) {
    if (loop < loops.length && place === loops[loop].first) {
      const { first, end } = loops[loop++];
      if (reached.subarray(first, end).includes(1)) reached.fill(1, first, end);
    }
    if (reached[place] === 0) continue;
    for (let edge = rows[place]; edge < rows[place + 1]; edge++) reached[targets[edge]] = 1;
  }
  return reached;
}
