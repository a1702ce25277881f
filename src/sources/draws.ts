import { type Mixing, mixingOf, seededRandom } from '../algorithms/index.ts';
import type { Drainage } from '../drainage/index.ts';
import { Chain, type ReleasePrior } from './chain.ts';
import { deliveryModel } from './delivery-model.ts';
import type { Question } from './question.ts';

/** Draws from the posterior, all of equal weight: what an engine hands on and the answer is read off. */
export interface Draws {
  count: number;
  /** Litres each source released in the target's window, source by source within each draw: count × sources. */
  released: Float64Array;
  /** Part of the oil at the target that is each source's, same layout; each draw adds up to 1. */
  share: Float64Array;
  /** θ of each draw, litres. */
  releaseLitres: Float64Array;
  /** Litres a year of each source, roughness included, same layout as `released`. */
  litresPerYear: Float64Array;
  /** ln likelihood of each finding: count × findings. */
  logLike: Float64Array;
  /** The worst mixing among the shares that matter. */
  mixing: Mixing;
}

/** Prior of θ where none is given: median 2 L, within ×/÷ 4 two times in three. A guess (design §3). */
const RELEASE_PRIOR: ReleasePrior = { median: 2, factor: 4 };

const CHAINS = 4;
const FIRST_SWEEPS = 100;
const FEWEST_SWEEPS = 600;
const MOST_SWEEPS = 3_000;
const CELL_SWEEPS = 20_000;

/** Sweeps of each chain that are kept: fewer for many cells. Work is counted and not time, so the same question gives the same bytes. */
export function sweepsFor(cells: number): number {
  return Math.max(FEWEST_SWEEPS, Math.min(MOST_SWEEPS, Math.floor(CELL_SWEEPS / Math.max(1, cells))));
}

/** A source whose mean share is under this does not decide how well the chains have mixed. */
const SHARE_THAT_MATTERS = 0.05;

/** Draws from the posterior by four chains of `sweeps` kept sweeps each. O(sweeps × (cells × findings + edges upstream)). */
export function drawPosterior(
  drainage: Drainage,
  question: Question,
  sweeps = sweepsFor(question.evidence.cells.length),
): Draws {
  const { evidence, releaseLitres, seed } = question;
  const { sources, findings } = evidence;
  const [size, count] = [sources.length, CHAINS * sweeps];
  const draws: Draws = {
    count,
    released: new Float64Array(count * size),
    share: new Float64Array(count * size),
    releaseLitres: new Float64Array(count),
    litresPerYear: new Float64Array(count * size),
    logLike: new Float64Array(count * findings.length),
    mixing: { effectiveCount: count, rHat: 1 },
  };
  const model = deliveryModel(drainage, evidence);
  const prior = releaseLitres === null ? RELEASE_PRIOR : { litres: releaseLitres };
  for (let chain = 0; chain < CHAINS; chain++) {
    const run = new Chain(evidence, model, prior, seededRandom(seed * CHAINS + chain));
    for (let sweep = 0; sweep < FIRST_SWEEPS; sweep++) run.sweep();
    for (let sweep = 0; sweep < sweeps; sweep++) {
      run.sweep();
      record(draws, chain * sweeps + sweep, { run, question });
    }
  }
  draws.mixing = worstMixing(draws, size);
  return draws;
}

function record(draws: Draws, draw: number, { run, question }: { run: Chain; question: Question }): void {
  const { evidence, target } = question;
  const size = evidence.sources.length;
  // In logarithms, and against the largest part, so that shares are right where every litre underflows.
  const logPart = (source: number, cell: number) => Math.log(run.delivered[target][source]) + run.logLitres[cell];
  const seen = evidence.cells.flatMap(({ source, seenBy }, cell) =>
    seenBy.includes(target) ? [{ source, cell }] : [],
  );
  const top = seen.reduce((most, { source, cell }) => Math.max(most, logPart(source, cell)), Number.NEGATIVE_INFINITY);
  let arrived = 0;
  for (const { source, cell } of seen) {
    const part = Math.exp(logPart(source, cell) - top);
    draws.released[draw * size + source] += run.litres[cell];
    draws.share[draw * size + source] += part;
    arrived += part;
  }
  for (let source = 0; source < size; source++) {
    draws.share[draw * size + source] /= arrived;
    draws.litresPerYear[draw * size + source] = Math.exp(run.logYield[source]);
  }
  draws.releaseLitres[draw] = Math.exp(run.logTheta);
  for (let finding = 0; finding < evidence.findings.length; finding++) {
    draws.logLike[draw * evidence.findings.length + finding] = run.explains(finding);
  }
}

function worstMixing({ share, count }: Draws, size: number): Mixing {
  const sweeps = count / CHAINS;
  let worst: Mixing = { effectiveCount: count, rHat: 1 };
  for (let source = 0; source < size; source++) {
    const chains = Array.from({ length: CHAINS }, (_, chain) =>
      Float64Array.from({ length: sweeps }, (__, sweep) => share[(chain * sweeps + sweep) * size + source]),
    );
    const mean = chains.reduce((sum, chain) => sum + chain.reduce((so, value) => so + value, 0), 0) / count;
    if (mean < SHARE_THAT_MATTERS) continue;
    const { effectiveCount, rHat } = mixingOf(chains);
    worst = { effectiveCount: Math.min(worst.effectiveCount, effectiveCount), rHat: Math.max(worst.rHat, rHat) };
  }
  return worst;
}
