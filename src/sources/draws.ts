import { type Mixing, mixingOf, seededRandom } from '../algorithms/index.ts';
import type { Drainage } from '../drainage/index.ts';
import { Chain, type ReleasePrior } from './chain.ts';
import { type DeliveryModel, deliveryModel } from './delivery-model.ts';
import { type Draws, drawTable, sharesThatMatter } from './draw-table.ts';
import type { Question } from './question.ts';
import { weighedDraws } from './weighed-draws.ts';

export type { Draws };

/** Prior of θ where none is given: median 2 L, within ×/÷ 4 two times in three. A guess (design §3). */
const RELEASE_PRIOR: ReleasePrior = { median: 2, factor: 4 };

const CHAINS = 4;
const FIRST_SWEEPS = 100;
const FEWEST_SWEEPS = 600;
const MOST_SWEEPS = 3_000;
const CELL_SWEEPS = 20_000;

/** Draws that are handed on where they were weighed, and what the weighted ones must be worth. */
const WEIGHED_COUNT = 3_000;
const WEIGHED_WORTH = 0.5;

/** Sweeps of each chain that are kept: fewer for many cells. Work is counted and not time, so the same question gives the same bytes. */
export function sweepsFor(cells: number): number {
  return Math.max(FEWEST_SWEEPS, Math.min(MOST_SWEEPS, Math.floor(CELL_SWEEPS / Math.max(1, cells))));
}

/**
 * Draws from the posterior: by weighing independent draws where their weights are even enough, else by four Markov
 * chains. With `sweeps`, as many draws as four chains of so many kept sweeps, by either.
 */
export function drawPosterior(drainage: Drainage, question: Question, sweeps?: number): Draws {
  const { evidence, releaseLitres } = question;
  const model = deliveryModel(drainage, evidence);
  const prior = releaseLitres === null ? RELEASE_PRIOR : { litres: releaseLitres };
  const count = sweeps === undefined ? WEIGHED_COUNT : CHAINS * sweeps;
  return (
    weighedDraws(question, { model, prior, count, effective: WEIGHED_WORTH * count }) ??
    chainDraws(question, { model, prior, sweeps: sweeps ?? sweepsFor(evidence.cells.length) })
  );
}

interface ChainRun {
  model: DeliveryModel;
  prior: ReleasePrior;
  sweeps: number;
}

/** Draws by four chains of `sweeps` kept sweeps each. O(sweeps × (cells × findings + edges upstream)). */
export function chainDraws(question: Question, { model, prior, sweeps }: ChainRun): Draws {
  const { evidence, target, seed } = question;
  const { draws, write } = drawTable(question, CHAINS * sweeps);
  for (let chain = 0; chain < CHAINS; chain++) {
    const run = new Chain(evidence, model, prior, seededRandom(seed * CHAINS + chain));
    for (let sweep = 0; sweep < FIRST_SWEEPS; sweep++) run.sweep();
    for (let sweep = 0; sweep < sweeps; sweep++) {
      run.sweep();
      write(chain * sweeps + sweep, run.state(target));
    }
  }
  draws.mixing = worstMixing(draws);
  return draws;
}

function worstMixing(draws: Draws): Mixing {
  const sweeps = draws.count / CHAINS;
  let worst: Mixing = { effectiveCount: draws.count, rHat: 1 };
  for (const values of sharesThatMatter(draws)) {
    const chains = Array.from({ length: CHAINS }, (_, chain) => values.subarray(chain * sweeps, (chain + 1) * sweeps));
    const { effectiveCount, rHat } = mixingOf(chains);
    worst = { effectiveCount: Math.min(worst.effectiveCount, effectiveCount), rHat: Math.max(worst.rHat, rHat) };
  }
  return worst;
}
