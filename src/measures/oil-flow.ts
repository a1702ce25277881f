import { FIRST_INDEX } from '../algorithms/index.ts';
import { arrivesOverSurface, type Drainage, itemAt, structureAt } from '../drainage/index.ts';
import { END_KINDS } from '../site-map/index.ts';

/** A place in the yard's oil flow: what comes in, what measures keep back there, where the rest goes. */
export interface Stage {
  /** Zone or structure. */
  at: string;
  /** Zones release here; grates take in what comes over the ground; chambers that and what comes by pipe. */
  part: 'zone' | 'grate' | 'chamber';
  /** Where the oil goes on to: a stage's number and the part of it. Nothing from an end. */
  ways: { to: number; part: number }[];
  /** A separator, or where oil leaves the yard's drainage: what comes here counts. */
  isEnd: boolean;
}

/**
 * The yard as stages of oil flow, for measures: zones, then a grate and a chamber for each structure, in flow order but
 * for loops. Oil that has come to a separator or an outfall has got past everything the yard's own people can do, so each
 * is an end: litres are counted where they first come to one, and go no further; with `pastSeparators` what a separator lets
 * through goes on. O(nodes + edges).
 *
 * A structure has two stages because an insert catches what comes over the ground and not what comes by pipe. A way's
 * part is the link's share of what the structure does not hold, so parts add up to 1 at most. `stageOf` throws for a
 * part that a place does not have: a zone has neither grate nor chamber.
 */
export function oilStages(
  drainage: Drainage,
  { pastSeparators = false } = {},
): {
  stages: Stage[];
  stageOf: (id: string, part: Stage['part']) => number;
} {
  const { order, share, holds, linkAt } = drainage;
  const stages: Stage[] = [];
  const numbers = new Map<string, number>();
  const add = (at: string, part: Stage['part'], isEnd = false) => {
    numbers.set(`${part} ${at}`, stages.length);
    stages.push({ at, part, ways: [], isEnd });
  };
  for (let index = FIRST_INDEX; index < order.nodeCount; index++) {
    const item = itemAt(drainage, index);
    if (!('kind' in item)) {
      add(item.id, 'zone');
      continue;
    }
    add(item.id, 'grate');
    add(item.id, 'chamber', item.kind === 'separator' || END_KINDS.includes(item.kind));
  }
  const stageOf = (id: string, part: Stage['part']) => {
    const stage = numbers.get(`${part} ${id}`);
    if (stage === undefined) throw new Error(`${id} has no ${part}`);
    return stage;
  };
  for (let index = FIRST_INDEX; index < order.nodeCount; index++) {
    const item = itemAt(drainage, index);
    const { id } = item;
    const isZone = !('kind' in item);
    const from = stages[stageOf(id, isZone ? 'zone' : 'chamber')];
    if (!isZone) stages[stageOf(id, 'grate')].ways.push({ to: stageOf(id, 'chamber'), part: 1 });
    const goesOn = pastSeparators && !isZone && item.kind === 'separator';
    if (from.isEnd && !goesOn) continue;
    for (let edge = order.rows[index]; edge < order.rows[index + 1]; edge++) {
      const end = structureAt(drainage, order.targets[edge]).id;
      const part = share[edge] * (1 - holds[index]);
      if (part > 0) from.ways.push({ to: stageOf(end, arrivesOverSurface(linkAt[edge]) ? 'grate' : 'chamber'), part });
    }
  }
  keepWaysToEnds(stages);
  return { stages, stageOf };
}

/**
 * Takes out ways to where no end can be come to: that oil counts for nothing, and may go round for ever. A search
 * backwards from the ends finds the stages that lead to one. O(stages + ways).
 */
function keepWaysToEnds(stages: readonly Stage[]): void {
  const before: number[][] = stages.map(() => []);
  stages.forEach(({ ways }, from) => {
    for (const { to } of ways) before[to].push(from);
  });
  const leads = new Uint8Array(stages.length);
  const queue = stages.flatMap(({ isEnd }, stage) => (isEnd ? [stage] : []));
  for (const stage of queue) leads[stage] = 1;
  for (let stage = queue.pop(); stage !== undefined; stage = queue.pop()) {
    for (const from of before[stage]) {
      if (leads[from] === 1) continue;
      leads[from] = 1;
      queue.push(from);
    }
  }
  for (const stage of stages) stage.ways = stage.ways.filter(({ to }) => leads[to] === 1);
}

/** Passes at most, and the litres a year by which no stage may change any more. */
const MOST_ROUNDS = 500;
const SETTLED = 1e-12;

/**
 * Litres a year that come to each stage, given what comes in from outside and the part that gets past each stage's
 * measures. Two passes settle it where there are no loops; with loops it is passed over until it does. O(stages + ways)
 * a pass.
 *
 * `released` is in litres a year, 0 or more, `getsPast` a part from 0 to 1, each with one number for each stage; any
 * unit comes back as it went in. Without loops every way leads to a later stage, so the first pass, in order, is the
 * flow already, and the second finds that nothing changes. Ways back, in loops, take the litres of the pass before.
 * From zero these only rise, towards the least solution of "what comes in is what is released here and what is handed
 * on", which is the flow; so a loop that loses very little, and has not settled after 500 passes, is told somewhat too
 * low, never too high. Loops that lead to no end were taken out (`keepWaysToEnds`), or they would rise for ever.
 */
export function litresAt(stages: readonly Stage[], released: Float64Array, getsPast: Float64Array): Float64Array {
  let litres = new Float64Array(stages.length);
  for (let round = 0; round < MOST_ROUNDS; round++) {
    const next = released.slice();
    for (let stage = 0; stage < stages.length; stage++) {
      // A way back: what it carries is known from the pass before only.
      for (const { to, part } of stages[stage].ways)
        if (to <= stage) next[to] += litres[stage] * getsPast[stage] * part;
    }
    for (let stage = 0; stage < stages.length; stage++) {
      for (const { to, part } of stages[stage].ways) if (to > stage) next[to] += next[stage] * getsPast[stage] * part;
    }
    const change = next.reduce((most, value, stage) => Math.max(most, Math.abs(value - litres[stage])), 0);
    litres = next;
    if (change <= SETTLED) break;
  }
  return litres;
}
