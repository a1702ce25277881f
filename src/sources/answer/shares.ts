import { dirichletParts } from '../../algorithms/index.ts';
import type { Draws } from '../draws/draw-table.ts';
import type { DeliveryModel } from '../model/delivery-model.ts';
import type { Evidence } from '../question/evidence.ts';
import type { Question } from '../question/question.ts';

/**
 * A part of the oil found: mean, 5 % and 95 % bounds, and the chance of being the largest part. All from 0 to 1. Means and chances add
 * up to 1 over all sources; bounds do not. A share may have a mean outside what is likely: with large releases it is mostly nearly
 * 0 or nearly 1, and the mean says how often.
 */
export interface Share {
  share: number;
  low: number;
  high: number;
  main: number;
}

const TAIL = 0.05;
/** Deliveries closer than this are the same: ways of equal delivery differ by the rounding of their products. */
const SAME_DELIVERY = 1e-9;

/**
 * θ in litres where the shares are Dirichlet whatever was found: one finding, equal delivery, and nothing unsure but litres; else null.
 *
 * With equal delivery d the finding speaks of d·Σx alone, and the proportions of gammas of one scale are independent of their sum
 * (Lukacs 1955), so no likelihood of the sum, misread or not, can change what is believed of them. Each condition is needed:
 * a θ or yield that is not known would be learned from the sum, and mixes Dirichlets; unequal delivery ties proportions to the
 * sum; so does a guessed `holds` on the way of some and not of others, and any on a way is taken to, which is found out by letting
 * all guesses stray. A second finding may see a part of the cells. A finding with a fluid is left to the draws. O(cells) and one delivery.
 */
export function exactRelease({ evidence, releaseLitres }: Question, model: DeliveryModel): number | null {
  const { sources, cells, findings, delivered } = evidence;
  if (findings.length > 1 || releaseLitres === null || findings[0].source.fluid !== undefined) return null;
  const counted = cells.map(({ source }) => source);
  const strayed = model.at(new Float64Array(model.guessed).fill(1)).delivered[0];
  const isDirichlet = counted.every(
    (source) =>
      sources[source].roughness.activity === 0 &&
      sources[source].roughness.own === 0 &&
      Math.abs(delivered[0][source] - delivered[0][counted[0]]) <= SAME_DELIVERY &&
      strayed[source] === delivered[0][source],
  );
  return isDirichlet ? releaseLitres : null;
}

/**
 * Independent gammas of one scale are, over their sum, Dirichlet with their shapes (Lukacs 1955); its parts are betas. Shapes are
 * litres a year × years ÷ θ, added up over the cells of a source; by source, 0 and no share for one without a cell. `theta`,
 * litres, is above 0. Means and bounds are exact; the chance of being largest is an integral, good to about 1e-6. O(sources).
 */
export function exactShares({ cells, sources }: Evidence, theta: number): Share[] {
  const shapes = sources.map(() => 0);
  for (const { source, years } of cells) {
    shapes[source] += (sources[source].litresPerYear * years) / theta;
  }
  return dirichletParts(shapes, TAIL).map(({ mean, low, high, largest }) => ({
    share: mean,
    low,
    high,
    main: largest,
  }));
}

/**
 * Mean, bounds and chance of being the main source, read off the draws, by source. Each is as good as the effective number of draws
 * makes it: a mean has the standard error (standard deviation of the share) ÷ √(effective draws), and a bound is
 * rougher, since only one draw in twenty lies beyond it. O(draws × sources × log draws).
 */
export function drawnShares({ sources }: Evidence, { count, share }: Draws): Share[] {
  const largest = new Float64Array(sources.length);
  for (const source of mainSources({ count, share }, sources.length)) largest[source]++;
  const values = new Float64Array(count);
  return sources.map((_, source) => {
    let sum = 0;
    for (let draw = 0; draw < count; draw++) {
      values[draw] = share[draw * sources.length + source];
      sum += values[draw];
    }
    const [low, high] = sum === 0 ? [0, 0] : quantiles(values, [TAIL, 1 - TAIL]);
    return { share: sum / count, low, high, main: largest[source] / count };
  });
}

/** The values under which the given parts of the draws lie, each one of the draws and not between two. O(n log n). */
function quantiles(values: Float64Array, chances: readonly number[]): number[] {
  const sorted = values.slice().sort();
  return chances.map((chance) => sorted[Math.min(sorted.length - 1, Math.floor(chance * sorted.length))]);
}

/** Litres of one typical release: given, or the median inferred with its 5 % and 95 % bounds. */
export interface Release {
  litres: number;
  low: number;
  high: number;
  given: boolean;
}

/** θ with its 5 % and 95 % bounds, litres. One finding says little of it, and the bounds are then about those of its prior. */
export function releaseOf({ releaseLitres }: Question, draws: Draws): Release {
  if (releaseLitres !== null) return { litres: releaseLitres, low: releaseLitres, high: releaseLitres, given: true };
  const [low, litres, high] = quantiles(draws.releaseLitres, [TAIL, 0.5, 1 - TAIL]);
  return { litres, low, high, given: false };
}

/** The source with the largest share in each draw; of equal ones the first. `size` is the number of sources. O(draws × sources). */
export function mainSources({ count, share }: Pick<Draws, 'count' | 'share'>, size: number): Int32Array {
  const main = new Int32Array(count);
  for (let draw = 0; draw < count; draw++) {
    for (let source = 1; source < size; source++) {
      if (share[draw * size + source] > share[draw * size + main[draw]]) main[draw] = source;
    }
  }
  return main;
}
