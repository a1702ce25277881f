import type { Draws } from '../draws/draw-table.ts';
import type { Evidence } from '../question/evidence.ts';
import { isLook } from '../question/observation.ts';
import { mainSources } from './shares.ts';

/** What one finding did to the odds that a zone is the main source: above 1 it raised them, below 1 it lowered them. */
export interface Reason {
  finding: string;
  times: number;
}

/** A finding that changed the odds by less than this factor either way is no reason; so small a change may be noise of the draws. */
const LEAST_FACTOR = 1.2;
/** Odds are told apart from certainty and impossibility by this much. */
const SMALLEST_CHANCE = 1e-3;

/**
 * For each source, by which factor each clean or oily look changed its odds of being the main source: the odds from
 * all findings against those from all but that one, the latter by weighing the draws with 1 ÷ likelihood. Looks have a
 * floor to their likelihood, so the weights are bounded; amounts have none and are left out. O(findings × draws).
 *
 * The posterior is prior × the product of all likelihoods, so dividing by one of them gives the posterior without that
 * finding, up to a constant that the normalised chances do not have. The weights are at most 1 ÷ m for a look that is misread with
 * chance m (below a half), 20 or 33 by default. A finding that states a `misread` of 0 has no such bound: its factor may rest on a few
 * draws, and is to be read as "much" and not as a number. Factors of several findings do not multiply up to their common effect.
 *
 * By source; the strongest last. Unmapped sources get none.
 */
export function reasonsFor({ findings, sources }: Evidence, draws: Draws): Reason[][] {
  const main = mainSources(draws, sources.length);
  const even = chances(main, new Float64Array(draws.count).fill(1), sources.length);
  const reasons: Reason[][] = sources.map(() => []);
  findings.forEach((each, finding) => {
    if (!isLook(each)) return;
    const without = Float64Array.from({ length: draws.count }, (_, draw) =>
      Math.exp(-draws.logLike[draw * findings.length + finding]),
    );
    chances(main, without, sources.length).forEach((chance, source) => {
      const times = odds(even[source]) / odds(chance);
      if (Math.max(times, 1 / times) >= LEAST_FACTOR && sources[source].zone)
        reasons[source].push({ finding: each.id, times });
    });
  });
  return reasons.map((each) => each.sort((a, b) => Math.abs(Math.log(b.times)) - Math.abs(Math.log(a.times))));
}

/** Odds of a chance, held within 0.001 and 1,000: of some thousand draws none at all may be the source, and that is not 0. */
const odds = (chance: number) => Math.max(SMALLEST_CHANCE, chance) / Math.max(SMALLEST_CHANCE, 1 - chance);

/** The chance of each source to be the main one, among draws of these weights; they add up to 1. */
function chances(main: Int32Array, weight: Float64Array, size: number): Float64Array {
  const found = new Float64Array(size);
  let sum = 0;
  main.forEach((source, draw) => {
    found[source] += weight[draw];
    sum += weight[draw];
  });
  return found.map((value) => value / sum);
}
