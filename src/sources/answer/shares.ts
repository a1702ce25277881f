import { dirichletParts } from '../../algorithms/index.ts';
import type { Draws } from '../draws/draw-table.ts';
import type { DeliveryModel } from '../model/delivery-model.ts';
import type { Evidence } from '../question/evidence.ts';
import type { Question } from '../question/question.ts';

/** A part of the oil found: mean, 5 % and 95 % bounds, and the chance of being the largest part. All from 0 to 1. */
export interface Share {
  share: number;
  low: number;
  high: number;
  main: number;
}

const TAIL = 0.05;
/** Deliveries closer than this are the same. */
const SAME_DELIVERY = 1e-9;

/**
 * θ where the shares are Dirichlet whatever was found: one finding, equal delivery, and nothing unsure but litres; else null.
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

/** Independent gammas of one scale are, over their sum, Dirichlet with their shapes (Lukacs 1955); its parts are betas. O(sources). */
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

/** Mean, bounds and chance of being the main source, read off the draws. O(draws × sources × log draws). */
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

/** The values under which the given parts of the draws lie. O(n log n). */
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

export function releaseOf({ releaseLitres }: Question, draws: Draws): Release {
  if (releaseLitres !== null) return { litres: releaseLitres, low: releaseLitres, high: releaseLitres, given: true };
  const [low, litres, high] = quantiles(draws.releaseLitres, [TAIL, 0.5, 1 - TAIL]);
  return { litres, low, high, given: false };
}

/** The source with the largest share in each draw. */
export function mainSources({ count, share }: Pick<Draws, 'count' | 'share'>, size: number): Int32Array {
  const main = new Int32Array(count);
  for (let draw = 0; draw < count; draw++) {
    for (let source = 1; source < size; source++) {
      if (share[draw * size + source] > share[draw * size + main[draw]]) main[draw] = source;
    }
  }
  return main;
}
