import type { IntegerSolver, Row } from '../algorithms/index.ts';
import { litresAt, type Stage } from './oil-flow.ts';
import type { Measure } from './table.ts';

/** Measures, and the stage at which each acts. Several at one stage act one after the other. */
export interface PlacedMeasure extends Measure {
  stage: number;
}

/** A yard as measures see it. */
export interface Programme {
  stages: readonly Stage[];
  /** Litres a year, 0 or more, that come into each stage from outside: what zones release. */
  released: Float64Array;
  /** All that could be taken; sets of them are told by their numbers in this list. */
  measures: readonly PlacedMeasure[];
}

/** A set of measures, as indices, with what it costs in its first year and the litres a year that still come to an end. */
export interface Choice {
  chosen: number[];
  cost: number;
  litres: number;
  /** 0 where it is proved that no set for the budget leaves fewer; else by how much of them it may be off. */
  gap: number;
}

/**
 * The part, 0 to 1, of the oil that comes to each stage and gets past the measures taken there: measures in series
 * multiply, they do not add up, for the second meets only what the first lets through. O(stages + chosen).
 */
export function getsPastWith({ stages, measures }: Programme, chosen: readonly number[]): Float64Array {
  const getsPast = new Float64Array(stages.length).fill(1);
  for (const at of chosen) getsPast[measures[at].stage] *= 1 - measures[at].cut;
  return getsPast;
}

/**
 * Litres a year that come to separators and outfalls with these measures taken: an expectation, with the yields and the
 * parts kept back at their middles. O(stages + ways) for each pass of `litresAt`.
 */
export function litresWith(programme: Programme, chosen: readonly number[]): number {
  const litres = litresAt(programme.stages, programme.released, getsPastWith(programme, chosen));
  return programme.stages.reduce((sum, { isEnd }, stage) => (isEnd ? sum + litres[stage] : sum), 0);
}

/** Litres are worth a difference from this part of all of them. */
const SAME_PART = 1e-7;

/**
 * The measures that keep out most oil for a budget, and of those the cheapest, exactly. Each stage's litres are a
 * variable, and a measure taken lets through its part of what comes to it: let f come and measure s (0 or 1) keep back
 * r; then what passes is at least (1 − r)·f and at least f − r·s, with all litres as parts of what could come at most.
 * Litres are made as few as possible, so they settle at exactly what flows, in loops too. Two programs: first the
 * litres, then, at that, the cost. Null where the solver finds nothing within its limit.
 *
 * Why two straight lines say what a measure does, though f·(1 − r·s) is a product of two unknowns. With s = 0 the
 * second asks for f and the first for less; with s = 1 the first asks for (1 − r)·f and the second, f − r, for no more
 * than that because f is at most 1. So the larger of the two is the product, exactly, where s is whole. It is for f ≤ 1
 * that each stage's litres are counted as parts of what comes there with no measure at all: measures never make it
 * more.
 *
 * Why making the ends' litres few settles all others: every row says that what comes to a stage is at least what is
 * released there and what gets past the stages before it. The least solution of such rows is the flow itself, in a loop
 * the sum of all rounds; anything larger upstream makes the ends larger, or leaves them. A measure that acts where
 * little oil comes by has small numbers but the same two rows.
 *
 * `budget` is in the site's currency, 0 or more. The second program may leave up to 1e-7 of all litres more than the
 * first found, since at the very same litres a rounding error would leave it without an answer. If it finds nothing,
 * the first one's set is taken, as good in litres, but perhaps dearer. `litres` and `cost` are worked out anew from the
 * set, and do not rest on the solver. About one variable for each stage and two rows for each measure to write down,
 * exponential to solve at worst.
 *
 * Exact is the choice, for the table as it stands. The table is guesses, but for inserts: two sets that differ by a few
 * litres are equally good.
 */
export function bestFor(programme: Programme, budget: number, solve: IntegerSolver): Choice | null {
  const { measures } = programme;
  if (measures.length === 0) return { chosen: [], cost: 0, litres: litresWith(programme, []), gap: 0 };
  const { litres, cost, rows, isWhole } = programOf(programme);
  const affordable: Row = {
    variables: measures.map((_, at) => at),
    factors: measures.map((each) => each.cost),
    atLeast: 0,
    atMost: budget,
  };
  const least = solve({ cost: litres, isWhole, rows: [...rows, affordable] });
  if (!least) return null;
  const flows = Array.from(litres.keys()).filter((variable) => litres[variable] > 0);
  const asFew: Row = {
    variables: flows,
    factors: flows.map((variable) => litres[variable]),
    atLeast: 0,
    atMost: least.cost + SAME_PART,
  };
  const cheapest = solve({ cost, isWhole, rows: [...rows, affordable, asFew] });
  const chosenBy = (values: Float64Array) => Array.from(measures.keys()).filter((at) => values[at] === 1);
  const chosen = chosenBy((cheapest ?? least).values);
  return {
    chosen,
    cost: chosen.reduce((sum, at) => sum + measures[at].cost, 0),
    litres: litresWith(programme, chosen),
    gap: least.gap,
  };
}

/** With more measures than this the frontier has too many points to be shown, and is worked out for some budgets only. */
const WHOLE_TO = 12;
const GRID_POINTS = 16;

/** A part of the frontier, from its first point on or back from its last. */
export interface Frontier {
  points: Choice[];
  /** Whether that is every point of it, or the exact best for some budgets. */
  isWhole: boolean;
  /** How much of it has been worked out, 0 to 1. */
  part: number;
}

/**
 * The money–litres frontier, from nothing to everything that helps: each budget at which more can be kept out, with the
 * best that it buys. Each point's cost is the least for its litres, so the next budget is just under it. That is the
 * whole frontier, exactly, for up to twelve measures; with more, `isWhole` is false and it is the exact best for
 * nothing and sixteen budgets, from the cheapest measure to all of them, evenly in ratio. One budget for each step, so
 * that a face can show how far it is, or stop. Points come in order of cost, and each step has all points so far: the
 * whole frontier grows from its dear end, the other one from its cheap end. Where the solver gives up, the whole
 * frontier ends there, and the other one lacks that budget.
 */
export function* frontierSteps(programme: Programme, solve: IntegerSolver): Generator<Frontier> {
  const isWhole = programme.measures.length <= WHOLE_TO;
  yield* isWhole ? everyPoint(programme, solve) : someBudgets(programme, solve);
}

/** All steps of the frontier at once. */
export function frontierOf(programme: Programme, solve: IntegerSolver): Frontier {
  let last: Frontier = { points: [], isWhole: true, part: 0 };
  for (last of frontierSteps(programme, solve));
  return last;
}

const totalOf = ({ measures }: Programme) => measures.reduce((sum, { cost }) => sum + cost, 0);

/**
 * Every point, from the dear end. Costs are whole units of the currency (see `measureAt`). A point costs the least for
 * its litres, so whatever costs less leaves more, and between it and one unit less there is nothing to buy: no point is
 * skipped, but for differences under `SAME_PART`. Two programs a point, and no more points than there are sets.
 */
function* everyPoint(programme: Programme, solve: IntegerSolver): Generator<Frontier> {
  const total = totalOf(programme);
  const points: Choice[] = [];
  for (let budget = total; budget >= 0; ) {
    const point = bestFor(programme, budget, solve);
    if (!point) break;
    points.unshift(point);
    budget = point.cost - 1;
    yield { points: [...points], isWhole: true, part: budget < 0 ? 1 : 1 - (budget + 1) / (total + 1) };
  }
}

/** The best for budgets that rise by the same ratio; a budget that buys no more than the one before makes no point. */
function* someBudgets(programme: Programme, solve: IntegerSolver): Generator<Frontier> {
  const costs = programme.measures.map(({ cost }) => cost);
  const least = Math.max(1, Math.min(...costs.filter((cost) => cost > 0)));
  const step = Math.log(totalOf(programme) / least) / (GRID_POINTS - 1);
  const budgets = [0, ...Array.from({ length: GRID_POINTS }, (_, at) => Math.round(least * Math.exp(step * at)))];
  const points: Choice[] = [];
  for (const [at, budget] of budgets.entries()) {
    const point = bestFor(programme, budget, solve);
    const before = points[points.length - 1];
    if (point && (!before || point.litres < before.litres)) points.push(point);
    yield { points: [...points], isWhole: false, part: (at + 1) / budgets.length };
  }
}

/**
 * Writes the rows down. Variables: each measure, taken or not; what comes to each stage; and what is left after each
 * measure there, as parts of the most that could come. `litres` is the cost of the first program, as a part of all that
 * comes to ends with no measure taken, `cost` that of the second. Stages that no oil comes to have no rows.
 */
function programOf({ stages, released, measures }: Programme): {
  litres: number[];
  cost: number[];
  rows: Row[];
  isWhole: boolean[];
} {
  const most = litresAt(stages, released, new Float64Array(stages.length).fill(1));
  const all = stages.reduce((sum, { isEnd }, stage) => (isEnd ? sum + most[stage] : sum), 0);
  const cost = measures.map((each) => each.cost);
  const litres = measures.map(() => 0);
  const rows: Row[] = [];
  const atLeast = (variables: number[], factors: number[], value = 0) =>
    rows.push({ variables, factors, atLeast: value, atMost: Number.POSITIVE_INFINITY });
  const flow = () => {
    cost.push(0);
    return litres.push(0) - 1;
  };
  const comes = stages.map(flow);
  const passes = stages.map((_, stage) => {
    let before = comes[stage];
    measures.forEach(({ stage: acts, cut }, at) => {
      if (acts !== stage || most[stage] === 0) return;
      const after = flow();
      atLeast([after, before], [1, -(1 - cut)]);
      atLeast([after, before, at], [1, -1, cut]);
      before = after;
    });
    return before;
  });
  // Links side by side are one way.
  const into: Map<number, number>[] = stages.map(() => new Map());
  stages.forEach(({ ways }, from) => {
    for (const { to, part } of ways) into[to].set(from, (into[to].get(from) ?? 0) + part);
  });
  stages.forEach(({ isEnd }, stage) => {
    if (most[stage] === 0) return;
    // All as parts of what could come here at most.
    const sources = [...into[stage]].filter(([from]) => most[from] > 0);
    atLeast(
      [comes[stage], ...sources.map(([from]) => passes[from])],
      [1, ...sources.map(([from, part]) => (-part * most[from]) / most[stage])],
      released[stage] / most[stage],
    );
    if (isEnd && all > 0) litres[comes[stage]] = most[stage] / all;
  });
  return { litres, cost, rows, isWhole: cost.map((_, at) => at < measures.length) };
}
