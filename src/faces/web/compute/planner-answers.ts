import type { IntegerSolver } from '../../../algorithms/index.ts';
import { compileDrainage, type Drainage } from '../../../drainage/index.ts';
import { findKits } from '../../../kits/index.ts';
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
  /** The frontier is the map's own: what has been worked out of it is kept. */
  frontier: { steps: Generator<FrontierSoFar>; last: FrontierSoFar } | null;
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
      opened = { mapText, drainage: compileDrainage(readSiteMap(mapText).map), frontier: null };
    }
    return opened;
  };
  return {
    kits: async ({ mapText, ...question }) => findKits(open(mapText).drainage, question, await solve()),
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
      const { steps, last } = yard.frontier;
      if (last.part < 1) {
        const next = steps.next();
        // Where the solver finds no more, what there is stands.
        yard.frontier.last = next.done ? { ...last, part: 1 } : next.value;
      }
      return yard.frontier.last;
    },
  };
}
