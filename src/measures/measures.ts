import { FIRST_INDEX, type IntegerSolver, logGammaDraw, type Random, seededRandom } from '../algorithms/index.ts';
import { type Told, told } from '../catalogue/index.ts';

import { type Drainage, itemAt, structureAt } from '../drainage/index.ts';
import { type Problem, problem, type StructureKind } from '../site-map/index.ts';
import { expectedLitresPerYear, loadSpreadOf } from '../sources/index.ts';
import {
  bestFor,
  type Choice,
  type Frontier,
  frontierSteps,
  getsPastWith,
  litresWith,
  type PlacedMeasure,
  type Programme,
} from './best.ts';
import { litresAt, oilStages } from './oil-flow.ts';
import { possibleMeasures } from './table.ts';

/** A measure with what it keeps out. */
export interface MeasureEffect {
  measure: string;
  at: string;
  /** Of the first year, in the site's currency. */
  cost: number;
  /** Of a year over its life of ten. */
  yearlyCost: number;
  /** Litres a year that it keeps from separators and outfalls: of a chosen one, what would come without just this one. */
  litresPerYear: number;
  /** Yearly cost ÷ litres; null where it keeps nothing out. */
  perLitre: number | null;
  /** Where its figures come from: as the site says, else one of ours. */
  source: string | Told;
}

/** Litres a year at an end, with nothing done and with the plan. */
export interface EndLitres {
  id: string;
  before: Range;
  after: Range;
}

/**
 * Litres a year with 5 % and 95 % bounds. The middle is what the map's own figures give, not the mean of the draws: it
 * mostly lies nearer the lower bound, since yields are log-normal.
 */
export interface Range {
  litresPerYear: number;
  low: number;
  high: number;
}

/** The best set for one budget. */
export interface MeasuresPlan {
  /** The best set for the budget, most litres first. */
  chosen: MeasureEffect[];
  cost: number;
  /** Litres a year kept from separators and outfalls, and those that come to them first if nothing is done. */
  litresPerYear: number;
  nowLitresPerYear: number;
  /** 0 where it is proved that no set for the money keeps out more; else by how much of what is left it may be off. */
  gap: number;
  /** Every measure alone, the least money per litre first. */
  ranked: MeasureEffect[];
  /** Separators, outfalls and sanitary connections that oil gets to, what separators let through among it. */
  ends: EndLitres[];
}

/** The best set, and the frontier with it. */
export interface MeasuresAnswer extends MeasuresPlan {
  /** The most that each budget keeps out; from nothing on. */
  frontier: FrontierPoint[];
  /** Whether that is every point of it, or the exact best for some budgets. */
  frontierIsWhole: boolean;
}

/** The most litres a year that can be kept out for a cost, in the site's currency for the first year. */
export interface FrontierPoint {
  cost: number;
  litresPerYear: number;
}

const DRAWS = 2_000;
const TAIL = 0.05;

/** What there is to spend. */
export interface MeasuresQuestion {
  /** In the site's currency, for the first year; 0 or more. */
  budget: number;
  /**
   * Of the draws for the bounds; left out, 1. The same seed gives the same bounds, and the plan does not depend on it.
   */
  seed?: number;
  /** Told how much of the work is done, 0 to 1. */
  onPart?: (part: number) => void;
}

/**
 * What keeps out most oil for the money? The plan for the budget and the frontier, by the given solver: every point of
 * it, or some budgets. `answer` is null, with the problem that says why, where the solver finds no plan within its
 * limit. Two programs for the plan and two for each point of the frontier.
 */
export function findMeasures(
  drainage: Drainage,
  question: MeasuresQuestion,
  solve: IntegerSolver,
): { answer: MeasuresAnswer | null; problems: Problem[] } {
  const { answer, problems } = planMeasures(drainage, question, solve);
  if (!answer) return { answer, problems };
  let frontier: Pick<FrontierSoFar, 'points' | 'isWhole'> = { points: [], isWhole: true };
  for (const step of measuresFrontier(drainage, solve)) {
    frontier = step;
    question.onPart?.(step.part);
  }
  return { answer: { ...answer, frontier: frontier.points, frontierIsWhole: frontier.isWhole }, problems };
}

/**
 * What keeps out most oil for a budget? Every measure of the table at every place it suits; the exact best set, by the
 * given solver; each measure's own effect; litres a year at each separator and outfall before and after, with bounds
 * from the roughness of yields and the range of each measure (2,000 seeded draws).
 *
 * A chosen measure's litres are what would come more without just that one. Measures in series share their work, so
 * these do not add up to the plan's litres, and a measure's rank alone is no order in which to buy. Litres per unit of
 * money are of a year over a life of ten, while the budget is of the first year. Two programs, and O(stages + ways) for
 * each draw and measure. Not to be trusted beyond its inputs: but for inserts, what a measure keeps back is a guess.
 */
export function planMeasures(
  drainage: Drainage,
  { budget, seed = 1 }: MeasuresQuestion,
  solve: IntegerSolver,
): { answer: MeasuresPlan | null; problems: Problem[] } {
  const programme = programmeOf(drainage);
  const { measures } = programme;
  const best = bestFor(programme, budget, solve);
  if (!best) {
    const words = { message: told('measures.no-plan'), cure: told('measures.no-plan-remedy') };
    return { answer: null, problems: [problem('no-plan', { id: null, field: null }, words)] };
  }
  const nothing = litresWith(programme, []);
  const effect = ({ measure, at, cost, yearlyCost, source }: PlacedMeasure, litresPerYear: number): MeasureEffect => ({
    measure,
    at,
    cost,
    yearlyCost,
    litresPerYear,
    perLitre: litresPerYear > 0 ? yearlyCost / litresPerYear : null,
    source,
  });
  const without = (chosen: number) => best.chosen.filter((at) => at !== chosen);
  return {
    answer: {
      chosen: best.chosen
        .map((at) => effect(measures[at], litresWith(programme, without(at)) - best.litres))
        .sort((a, b) => b.litresPerYear - a.litresPerYear),
      cost: best.cost,
      litresPerYear: nothing - best.litres,
      nowLitresPerYear: nothing,
      gap: best.gap,
      ranked: measures
        .map((each, at) => effect(each, nothing - litresWith(programme, [at])))
        .sort((a, b) => (a.perLitre ?? Number.POSITIVE_INFINITY) - (b.perLitre ?? Number.POSITIVE_INFINITY)),
      ends: endLitres(drainage, programme, { best, random: seededRandom(seed) }),
    },
    problems: [],
  };
}

/** The frontier so far: its points, whether they are to be all, and how much of it has been worked out, 0 to 1. */
export interface FrontierSoFar extends Pick<Frontier, 'isWhole' | 'part'> {
  points: FrontierPoint[];
}

/** The money–litres frontier, a budget at each step. It is the map's own and does not depend on a budget. */
export function* measuresFrontier(drainage: Drainage, solve: IntegerSolver): Generator<FrontierSoFar> {
  const programme = programmeOf(drainage);
  for (const step of frontierSteps(programme, solve)) yield { ...step, points: pointsOf(programme, step.points) };
}

function pointsOf(programme: Programme, choices: readonly Choice[]): FrontierPoint[] {
  const nothing = litresWith(programme, []);
  return choices.map(({ cost, litres }) => ({ cost, litresPerYear: nothing - litres }));
}

/** Where a shut-off valve goes before: separators, and where oil leaves the yard for water or an unknown place. */
const GUARDED: Readonly<Record<StructureKind, boolean>> = {
  'catch-basin': false,
  'trench-drain': false,
  manhole: false,
  valve: false,
  pond: false,
  separator: true,
  outfall: true,
  sanitary: false,
  edge: true,
};

/**
 * The yard's oil flow with every measure that could be taken: those of the table, with what `site.measures` changes, at
 * each place that it suits and that oil comes to. None at a separator or beyond one, where the oil has counted already.
 * O(nodes + edges), times the passes of `litresAt`.
 *
 * @example
 * import { compileDrainage } from 'oilshed/drainage';
 * import { programmeOf } from 'oilshed/measures';
 * import { readSiteMap } from 'oilshed/site-map';
 * const lid = (id: string, kind: string, x: number) => ({ type: 'Feature', id, properties: { kind }, geometry: { type: 'Point', coordinates: [x, 40] } });
 * const line = { type: 'LineString', coordinates: [[-105, 40], [-104.999, 40]] };
 * const pipe = { type: 'Feature', id: 'P-1', properties: { kind: 'pipe', from: 'CB-1', to: 'OUT-1' }, geometry: line };
 * const ring = [[-105.001, 40], [-105, 40], [-105, 40.001], [-105.001, 40]];
 * const zone = { type: 'Feature', id: 'Z-1', properties: { kind: 'zone', activity: 'fueling', drainsTo: 'CB-1' }, geometry: { type: 'Polygon', coordinates: [ring] } };
 * const features = [lid('CB-1', 'catch-basin', -105), lid('OUT-1', 'outfall', -104.999), pipe, zone];
 * const site = { format: 'oilshed-site', version: 1, measures: { roof: false } };
 * const { map } = readSiteMap(JSON.stringify({ type: 'FeatureCollection', site, features }));
 * const { measures } = programmeOf(compileDrainage(map));
 * measures.map(({ measure, at }) => `${measure} ${at}`); // → ['hose-checks Z-1', 'low-wall Z-1', 'insert CB-1', 'shut-off-valve CB-1']
 */
export function programmeOf(drainage: Drainage): Programme {
  const { map, order } = drainage;
  const { stages, stageOf } = oilStages(drainage);
  const released = new Float64Array(stages.length);
  for (const zone of map.zones) released[stageOf(zone.id, 'zone')] = expectedLitresPerYear(zone);
  const lastBefore = new Set<string>();
  for (let index = FIRST_INDEX; index < order.nodeCount; index++) {
    for (let edge = order.rows[index]; edge < order.rows[index + 1]; edge++) {
      const end = structureAt(drainage, order.targets[edge]);
      if (GUARDED[end.kind]) lastBefore.add(itemAt(drainage, index).id);
    }
  }
  const most = litresAt(stages, released, new Float64Array(stages.length).fill(1));
  const isZone = new Set(map.zones.map(({ id }) => id));
  const measures = possibleMeasures(map, lastBefore)
    .map((measure): PlacedMeasure => {
      const part = isZone.has(measure.at) ? 'zone' : measure.measure === 'insert' ? 'grate' : 'chamber';
      return { ...measure, stage: stageOf(measure.at, part) };
    })
    .filter(({ stage }) => most[stage] > 0 && !stages[stage].isEnd);
  return { stages, released, measures };
}

/**
 * Litres at each end before and after, with bounds. Each draw takes yields that are log-normal around the map's
 * figures, in part shared by all zones of an activity, and a part kept back for each measure within its range. Before
 * and after are worked out with the same draw, so that their difference is that of the measures and not of chance. Here
 * what a separator lets through goes on, so an outfall below one has litres of its own. Ends that no oil gets to are
 * left out.
 */
function endLitres(
  drainage: Drainage,
  programme: Programme,
  { best, random }: { best: Choice; random: Random },
): EndLitres[] {
  const { released, measures } = programme;
  // The same stages in the same order, but that what separators let through goes on.
  const { stages } = oilStages(drainage, { pastSeparators: true });
  const ends = stages.flatMap(({ isEnd }, stage) => (isEnd ? [stage] : []));
  const { map } = drainage;
  const zones = new Map(
    map.zones.map((zone) => [zone.id, { kind: zone.properties.activity, ...loadSpreadOf(map, zone) }]),
  );
  const before = ends.map(() => new Float64Array(DRAWS));
  const after = ends.map(() => new Float64Array(DRAWS));
  const none = new Float64Array(stages.length).fill(1);
  for (let draw = 0; draw < DRAWS; draw++) {
    const shared = new Map<string, number>();
    const drawn = released.slice();
    stages.forEach(({ at, part }, stage) => {
      const zone = part === 'zone' ? zones.get(at) : undefined;
      if (!zone) return;
      const { kind, activity, own } = zone;
      const together = shared.get(kind) ?? random.normal();
      shared.set(kind, together);
      drawn[stage] *= Math.exp(activity * together + own * random.normal());
    });
    const cuts = measures.map(
      ({ cut, low, high }) => low + (high - low) * drawBetween(random, (cut - low) / (high - low)),
    );
    const drawnProgramme = { ...programme, measures: measures.map((each, at) => ({ ...each, cut: cuts[at] })) };
    const [litresBefore, litresAfter] = [
      litresAt(stages, drawn, none),
      litresAt(stages, drawn, getsPastWith(drawnProgramme, best.chosen)),
    ];
    ends.forEach((stage, at) => {
      before[at][draw] = litresBefore[stage];
      after[at][draw] = litresAfter[stage];
    });
  }
  const [meanBefore, meanAfter] = [
    litresAt(stages, released, none),
    litresAt(stages, released, getsPastWith(programme, best.chosen)),
  ];
  return ends
    .map((stage, at) => ({
      id: stages[stage].at,
      before: rangeOf(before[at], meanBefore[stage]),
      after: rangeOf(after[at], meanAfter[stage]),
    }))
    .filter(({ before: { high } }) => high > 0);
}

/** How closely a measure's part lies to its middle within its range: a beta of this weight. A guess. */
const BETA_WEIGHT = 4;

/**
 * A draw from 0 to 1 with the given mean: Beta(w·mean, w·(1 − mean)), as one gamma draw over the sum of two. The gammas
 * come as logarithms, since near 0 the draws themselves would be too small to be written. A mean at an end, or of a
 * range without width, is no distribution: the end itself comes back, or 0.
 */
function drawBetween(random: Random, mean: number): number {
  if (!(mean > 0 && mean < 1)) return Number.isFinite(mean) ? Math.min(1, Math.max(0, mean)) : 0;
  const [a, b] = [logGammaDraw(random, BETA_WEIGHT * mean), logGammaDraw(random, BETA_WEIGHT * (1 - mean))];
  return 1 / (1 + Math.exp(b - a));
}

/** The bounds of draws, by their order. */
function rangeOf(draws: Float64Array, litresPerYear: number): Range {
  const sorted = draws.slice().sort();
  const at = (chance: number) => sorted[Math.min(sorted.length - 1, Math.floor(chance * sorted.length))];
  return { litresPerYear, low: at(TAIL), high: at(1 - TAIL) };
}
