import type { IntegerSolver } from '../../../algorithms/index.ts';
import { compileDrainage, type Drainage } from '../../../drainage/index.ts';
import { type CurveSoFar, kitsCurve, planKits } from '../../../kits/index.ts';
import { type FrontierSoFar, measuresFrontier, planMeasures, programmeOf } from '../../../measures/index.ts';
import { readSiteMap } from '../../../site-map/index.ts';
import type { Asks, PlannerTask, Replies } from './protocol.ts';

/** Answers to everything that needs the solver. */
export type PlannerAnswers = { [T in PlannerTask]: (ask: Asks[T]) => Promise<Replies[T]> };

/** The part of what all measures cost that is taken for a budget where none is named. */
const DEFAULT_PART = 0.1;

interface Opened {
  mapText: string;
  drainage: Drainage;
  /** Curves do not hang on what is asked: what has been worked out of them is kept. One of kits for each `keep`. */
  kitsCurves: Map<boolean, Steps<CurveSoFar>>;
  frontier: Steps<FrontierSoFar> | null;
}

/** A curve that is worked out a step at a time. */
interface Steps<T extends { part: number }> {
  steps: Generator<T>;
  last: T;
}

/** Takes one step more of a curve, if there is one; where the solver finds no more, what there is stands. */
function step<T extends { part: number }>(curve: Steps<T>): T {
  if (curve.last.part < 1) {
    const next = curve.steps.next();
    curve.last = next.done ? { ...curve.last, part: 1 } : next.value;
  }
  return curve.last;
}

/** What stands behind the planner's worker: the rooms, the map asked about last, and a solver that is loaded at the first question. */
export function createPlannerAnswers(loadSolver: () => Promise<IntegerSolver>): PlannerAnswers {
  let solver: Promise<IntegerSolver> | null = null;
  let opened: Opened | null = null;
  const solve = () => {
    solver ??= loadSolver().catch((error: unknown) => {
      // Without a network it may come later.
      solver = null;
      throw error;
    });
    return solver;
  };
  const open = (mapText: string): Opened => {
    if (opened?.mapText !== mapText) {
      opened = {
        mapText,
        drainage: compileDrainage(readSiteMap(mapText).map),
        kitsCurves: new Map(),
        frontier: null,
      };
    }
    return opened;
  };
  return {
    kits: async ({ mapText, ...question }) => planKits(open(mapText).drainage, question, await solve()),
    async kitsCurve({ mapText, keep = false }) {
      const solving = await solve();
      const { drainage, kitsCurves } = open(mapText);
      const curve = kitsCurves.get(keep) ?? {
        steps: kitsCurve(drainage, { keep }, solving),
        last: { points: [], part: 0 },
      };
      kitsCurves.set(keep, curve);
      return step(curve);
    },
    async measures({ mapText, budget: asked }) {
      const { drainage } = open(mapText);
      const total = programmeOf(drainage).measures.reduce((sum, { cost }) => sum + cost, 0);
      const budget = asked ?? Number((total * DEFAULT_PART).toPrecision(1));
      return { ...planMeasures(drainage, { budget }, await solve()), budget, total };
    },
    async frontier({ mapText }) {
      const solving = await solve();
      const yard = open(mapText);
      yard.frontier ??= {
        steps: measuresFrontier(yard.drainage, solving),
        last: { points: [], isWhole: true, part: 0 },
      };
      return step(yard.frontier);
    },
  };
}
