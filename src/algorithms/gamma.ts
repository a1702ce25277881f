import jstat from 'jstat';

const { jStat } = jstat;

/** ln Γ(x) for x > 0 (jstat). */
export function logGamma(x: number): number {
  return jStat.gammaln(x);
}

/** No logarithm of a chance is taken to be lower than this, so that sums of them stay numbers. */
const LEAST_LOG = -1e5;

/** ln of the chance that Gamma(shape, 1) is at most exp(logX). Far below 1 its first term is exact and does not underflow. */
export function logGammaCdf(shape: number, logX: number): number {
  const log = logX < -20 ? shape * logX - logGamma(shape + 1) : Math.log(jStat.lowRegGamma(shape, Math.exp(logX)));
  return Math.max(LEAST_LOG, Math.min(0, log));
}

/** Above this shape the cube root of a gamma variable is normal to about 1e-4 (Wilson and Hilferty 1931). */
const LARGE_SHAPE = 100;

/** The chance that Gamma(shape, 1) is at most x, 0 for x ≤ 0: jstat's, for a large shape by its cube root. */
export function gammaCdf(shape: number, x: number): number {
  if (x <= 0) return 0;
  if (shape < LARGE_SHAPE) return Math.exp(logGammaCdf(shape, Math.log(x)));
  const part = 1 / (9 * shape);
  return jStat.normal.cdf((Math.cbrt(x / shape) - 1 + part) / Math.sqrt(part), 0, 1);
}

/** Under this (or as near to 1) the first term of the distribution function is all of it, to 8 digits. */
const LOG_NEAR_END = Math.log(1e-9);

/**
 * The x, 0 to 1, under which Beta(alpha, beta) lies with the given chance, 0 < chance < 1. Near its ends from the first term of the
 * distribution function, x^a / (a B(a, b)), which does not fail for tiny parameters; else jstat's, within 2.1e-7 of R.
 * Both parameters above 0.
 */
export function betaQuantile(chance: number, alpha: number, beta: number): number {
  const logBeta = logGamma(alpha) + logGamma(beta) - logGamma(alpha + beta);
  const logLow = (Math.log(chance) + Math.log(alpha) + logBeta) / alpha;
  if (logLow < LOG_NEAR_END) return Math.exp(logLow);
  const logHigh = (Math.log1p(-chance) + Math.log(beta) + logBeta) / beta;
  if (logHigh < LOG_NEAR_END) return 1 - Math.exp(logHigh);
  return jStat.beta.inv(chance, alpha, beta);
}
