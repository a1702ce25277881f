/** How well several chains of one number have mixed. */
export interface Mixing {
  /** As good as so many independent draws, for the mean; above 0, at most the number of draws. */
  effectiveCount: number;
  /** Split R-hat: 1 when the halves of all chains agree; above some 1.05 they do not. At most 1000. */
  rHat: number;
}

/** Stands for chains that do not move at all and do not agree, so that R-hat is always a number. */
const LARGEST_R_HAT = 1000;

const meanOf = (values: Float64Array) => values.reduce((sum, value) => sum + value, 0) / values.length;

/**
 * Effective sample size and split R-hat of chains of equal length (Gelman et al., Bayesian Data Analysis, 3rd ed., 11.4
 * and 11.5): each chain is cut in two, autocorrelations are added up in pairs until a pair is no longer positive (Geyer
 * 1992). A number that never changes counts as fully known. O(chains × length × lags).
 *
 * One chain at least, and four draws in each; of an odd number the last is left out. Cut in two, a chain that drifts
 * disagrees with itself, which whole chains that drift alike would not show. Neither number can tell of a place where no
 * chain ever went: chains that all sit in the same one of several peaks agree. The count is that of a mean; bounds far
 * out in a tail are known less well.
 *
 * @example
 * import { mixingOf } from 'oilshed/algorithms';
 * mixingOf([Float64Array.of(0, 0, 0, 0), Float64Array.of(1, 1, 1, 1)]).rHat; // → 1000
 */
export function mixingOf(chains: readonly Float64Array[]): Mixing {
  const half = chains[0].length >> 1;
  const halves = chains.flatMap((chain) => [chain.subarray(0, half), chain.subarray(half, 2 * half)]);
  const means = halves.map(meanOf);
  const overall = means.reduce((sum, mean) => sum + mean, 0) / means.length;
  const between = (half / (means.length - 1)) * means.reduce((sum, mean) => sum + (mean - overall) ** 2, 0);
  const covariance = (lag: number) =>
    halves.reduce((sum, values, chain) => {
      let product = 0;
      for (let at = lag; at < half; at++) product += (values[at] - means[chain]) * (values[at - lag] - means[chain]);
      return sum + product / half;
    }, 0) / halves.length;
  const atZero = covariance(0);
  const within = (atZero * half) / (half - 1);
  const total = (within * (half - 1)) / half + between / half;
  if (!(total > 0)) return { effectiveCount: halves.length * half, rHat: 1 };
  // Of the whole variance, that between chains included: chains that do not agree are then correlated at every lag.
  const correlation = (lag: number) => 1 - (within - (covariance(lag) * half) / (half - 1)) / total;
  // In a reversible chain neighbouring pairs add up to more than 0 and fall (Geyer 1992), so from the first that does not
  // on there is only noise, which would add up without end.
  let sum = 0;
  for (let lag = 0; lag + 1 < half; lag += 2) {
    const pair = (lag === 0 ? 1 : correlation(lag)) + correlation(lag + 1);
    if (pair <= 0) break;
    sum += pair;
  }
  const count = halves.length * half;
  return {
    effectiveCount: Math.min(count, count / Math.max(1e-9, 2 * sum - 1)),
    rHat: Math.min(LARGEST_R_HAT, Math.sqrt(total / within)),
  };
}
