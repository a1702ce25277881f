import { seededRandom } from '../../src/algorithms/index.ts';
import { drawPosterior } from '../../src/sources/draws/draws.ts';
import { deliveryModel } from '../../src/sources/model/delivery-model.ts';
import { column } from './accuracy.ts';
import { rankOf, uniformChance } from './scores.ts';
import { simulate } from './truth.ts';
import type { StudyYard } from './yards.ts';

/** Ranks of the truth among the draws, in bins of equal width. */
export interface Histogram {
  counts: number[];
  chiSquare: number;
  /** Chance of bins this uneven or worse if the ranks are uniform. */
  chance: number;
}

export interface Calibration {
  simulations: number;
  share: Histogram;
  theta: Histogram;
  /** Simulations whose answer calls itself rough. */
  rough: number;
}

/** Draws kept for a rank: 99 of them give 100 ranks, five to a bin. */
const KEPT = 99;
const BINS = 20;

/**
 * Simulation-based calibration (Talts, Betancourt, Simpson, Vehtari, Gelman 2018): truths drawn from the model, the
 * posterior asked, the rank of the truth among thinned draws taken. If the engine is right every rank is equally
 * likely. One source of each simulation, taken at random, so that ranks are independent; ranks are on log share, which
 * orders as share does, and ties are broken by the seed.
 */
export function calibrate(
  yards: readonly StudyYard[],
  { count, seed, sweeps }: { count: number; seed: number; sweeps: number },
): Calibration {
  const random = seededRandom(seed);
  const [shares, thetas]: [number[], number[]] = [[], []];
  let rough = 0;
  for (let run = 0; run < count; run++) {
    const { drainage, at } = yards[run % yards.length];
    const { question, share, logTheta } = simulate(
      { drainage, at, world: 'model', manner: 'model', looks: 1 + (run % 2) },
      random,
    );
    const draws = drawPosterior(question, deliveryModel(drainage, question.evidence), sweeps);
    const source = Math.floor(random.uniform() * share.length);
    shares.push(rankOf(share[source], thinned(column(draws, source)), random));
    thetas.push(rankOf(logTheta, thinned(draws.releaseLitres.map(Math.log)), random));
    if (draws.mixing.effectiveCount < 100 || draws.mixing.rHat > 1.1) rough++;
  }
  return { simulations: count, share: histogram(shares), theta: histogram(thetas), rough };
}

function thinned(values: Float64Array): Float64Array {
  return Float64Array.from({ length: KEPT }, (_, at) => values[Math.floor(((at + 0.5) * values.length) / KEPT)]);
}

function histogram(ranks: readonly number[]): Histogram {
  const counts = new Array<number>(BINS).fill(0);
  for (const rank of ranks) counts[Math.floor((rank * BINS) / (KEPT + 1))]++;
  return { counts, ...uniformChance(counts) };
}
