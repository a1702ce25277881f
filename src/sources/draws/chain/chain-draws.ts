import { type Mixing, mixingOf, seededRandom } from '../../../algorithms/index.ts';
import type { DeliveryModel } from '../../model/delivery-model.ts';
import type { ReleasePrior } from '../../model/rates.ts';
import type { Question } from '../../question/question.ts';
import { type Draws, drawTable, sharesThatMatter } from '../draw-table.ts';
import { startChain } from './chain.ts';

/** Chains of one answer: only several that start apart can show, by R-hat, that one of them got stuck. */
export const CHAINS = 4;
/** Sweeps thrown away, in which a chain leaves the place where it was put. A guess; too few would mostly show in R-hat. */
const FIRST_SWEEPS = 100;
const FEWEST_SWEEPS = 600;
const MOST_SWEEPS = 3_000;
const CELL_SWEEPS = 20_000;

/** Sweeps of each chain that are kept: fewer for many cells. Work is counted and not time, so the same question gives the same bytes. */
export function sweepsFor(cells: number): number {
  return Math.max(FEWEST_SWEEPS, Math.min(MOST_SWEEPS, Math.floor(CELL_SWEEPS / Math.max(1, cells))));
}

interface ChainRun {
  model: DeliveryModel;
  prior: ReleasePrior;
  sweeps: number;
}

/**
 * Draws from the posterior by four chains of `sweeps` kept sweeps each, laid one chain after the other. Sweeps that
 * follow each other are alike, so the draws are worth fewer than they are: `mixing` says how many, and how well the
 * chains agree (Gelman et al. 2013, sections 11.4 and 11.5; Geyer 1992).
 *
 * It always answers, also where the chains do not agree; whoever reads the draws has to look at `mixing` before
 * believing them. O(sweeps × (cells × findings + edges upstream)).
 */
export function chainDraws(question: Question, { model, prior, sweeps }: ChainRun): Draws {
  const { evidence, target, seed } = question;
  const { draws, write } = drawTable(question, CHAINS * sweeps);
  for (let number = 0; number < CHAINS; number++) {
    const chain = startChain({ evidence, model, release: prior }, seededRandom(seed * CHAINS + number));
    for (let sweep = 0; sweep < FIRST_SWEEPS; sweep++) chain.sweep();
    for (let sweep = 0; sweep < sweeps; sweep++) {
      chain.sweep();
      write(number * sweeps + sweep, chain.state.drawAt(target));
    }
  }
  draws.mixing = worstMixing(draws);
  return draws;
}

/**
 * The fewest effective draws and the largest R-hat of any share that matters, not necessarily of one and the same share.
 * Shares are what the answer is made of, so it is their mixing that counts, and not that of litres or yields.
 */
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
