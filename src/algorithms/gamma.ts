/*
 * Gamma and beta distribution functions for shapes from about 1e-4 to 1e4, which tests hold against 2,000 points of
 * SciPy: ln Γ within 2e-12, chances within 2e-11 of their value, beta quantiles within 1e-10. Everything is worked out as
 * a logarithm, since the powers and factorials in it leave the range of a number long before the chance does. Nothing
 * here checks its input: a shape of 0 or less, or NaN, gives a meaningless number and no error. DLMF is the NIST Digital
 * Library of Mathematical Functions.
 */

const HALF_LOG_TWO_PI = 0.5 * Math.log(2 * Math.PI);
/** From here on six terms of Stirling's series give ln Γ to its last digit. */
const LARGE = 10;
/** A step that changes a sum or a product by less than this changes nothing. */
const LEAST_CHANGE = 2 ** -52;

/**
 * Σ B₂ₖ / (2k (2k − 1) x²ᵏ⁻¹) for x of 10 and more (DLMF 5.11.1). The series diverges, but cut short it is off by less
 * than the first term left out (DLMF 5.11(ii)): here 1 / (156 x¹³), under 1e-15.
 */
function stirlingSeries(x: number): number {
  const s = 1 / (x * x);
  return (1 / 12 - s * (1 / 360 - s * (1 / 1260 - s * (1 / 1680 - s * (1 / 1188 - (s * 691) / 360_360))))) / x;
}

/**
 * ln Γ(x) for x > 0: Stirling's series from 10 up, below it by way of Γ(x + 1) = x Γ(x). Infinity at 0. Near 1 and 2,
 * where it is 0, it is off by some 2e-15, which is no longer small beside its value. O(1): at most ten factors.
 *
 * @example
 * import { logGamma } from 'oilshed/algorithms';
 * logGamma(5); // → Math.log(24)
 */
export function logGamma(x: number): number {
  let product = 1;
  let large = x;
  for (; large < LARGE; large++) product *= large;
  return (large - 0.5) * Math.log(large) - large + HALF_LOG_TWO_PI + stirlingSeries(large) - Math.log(product);
}

/**
 * What Stirling's √(2π/x) (x/e)ˣ leaves out of ln Γ(x): apart, it is not lost beside large terms that nearly cancel. Below 10
 * the terms are small enough for the difference itself to be taken.
 */
const stirlingError = (x: number) =>
  x < LARGE ? logGamma(x) - (x - 0.5) * Math.log(x) + x - HALF_LOG_TWO_PI : stirlingSeries(x);

/** ln(x / center), where x = center + offset: near the center by log1p, since the quotient would lose digits. */
const logRatio = (offset: number, logX: number, center: number) =>
  Math.abs(offset) < center / 2 ? Math.log1p(offset / center) : logX - Math.log(center);

/** Shapes from 1e-4 to 1e4 take a few hundred steps; beside a shape under 1e-9 millions would add digits that nobody needs. */
const MOST_FRACTION_STEPS = 20_000;

/**
 * b₀ + a₁ / (b₁ + a₂ / (b₂ + …)) by the method of Lentz (Thompson and Barnett, Coulomb and Bessel functions of complex
 * arguments and order, 1986): from the front, until a step changes nothing. After the most steps it comes back with what
 * it has.
 *
 * With convergents Aₙ / Bₙ, `ratio` is Aₙ / Aₙ₋₁ and `inverse` is Bₙ₋₁ / Bₙ. Each follows from the one before it, so that
 * neither A nor B, which in a long fraction leave the range of a number, is ever formed; their product is what one more step
 * multiplies the value by.
 */
function continuedFraction(above: (step: number) => number, under: (step: number) => number): number {
  let [value, ratio, inverse] = [under(0), under(0), 0];
  for (let step = 1, change = 0; step < MOST_FRACTION_STEPS && Math.abs(change - 1) > LEAST_CHANGE; step++) {
    const [a, b] = [above(step), under(step)];
    inverse = 1 / (b + a * inverse);
    ratio = b + a / ratio;
    change = ratio * inverse;
    value *= change;
  }
  return value;
}

/**
 * ln of xᵃ e⁻ˣ / Γ(a + 1). For a large shape a·ln x, x and ln Γ are each of the order of a·ln a and leave a difference of
 * a few units. So Stirling's main part is taken off by hand, which leaves a·ln(x/a) − (x − a): near x = a both are only
 * as large as x − a. `logX` comes along because x may underflow to 0 where a·ln x is still an ordinary number.
 */
function logGammaTerm(shape: number, x: number, logX: number): number {
  if (shape < LARGE) return shape * logX - x - logGamma(shape + 1);
  const log = shape * logRatio(x - shape, logX, shape) - (x - shape);
  return log - 0.5 * Math.log(shape) - HALF_LOG_TWO_PI - stirlingSeries(shape);
}

/**
 * ln of the chance that Gamma(shape, 1) is at most x, by the series of DLMF 8.11.4: short where x is not far above the
 * shape. All terms are positive, so nothing cancels. Below x = shape + 1 they fall from the first one on, and by more at
 * each step, so the loop ends: after some 9·√shape steps for a large shape.
 */
function logLowerTail(shape: number, x: number, logX: number): number {
  let [sum, term] = [1, 1];
  for (let over = shape + 1; term > sum * LEAST_CHANGE; over++) {
    term *= x / over;
    sum += term;
  }
  return logGammaTerm(shape, x, logX) + Math.log(sum);
}

/**
 * ln of the chance that Gamma(shape, 1) is above x, by the fraction of DLMF 8.9.2: short where x is not far under the
 * shape. It is the tail itself and not 1 less the rest, so a tail of 1e-200 keeps its digits.
 */
function logUpperTail(shape: number, x: number, logX: number): number {
  const fraction = continuedFraction(
    (step) => step * (shape - step),
    (step) => x + 1 - shape + 2 * step,
  );
  return logGammaTerm(shape, x, logX) + Math.log(shape / fraction);
}

/**
 * ln(1 − eˣ) for x < 0, without loss at either end: where eˣ is near 0, `log1p` keeps it beside the 1; where it is near 1,
 * `expm1` takes the difference before anything is rounded. They change over at eˣ = ½.
 */
const logRest = (log: number) => (log < -Math.LN2 ? Math.log1p(-Math.exp(log)) : Math.log(-Math.expm1(log)));

/**
 * ln of the chances that Gamma(shape, 1) is at most x and that it is above x: the series or the fraction, or what it
 * leaves of 1. Which of the two is summed changes at shape + 1, where both are short. `min` takes off a rounding that
 * would make a chance larger than 1.
 */
const logBelow = (shape: number, x: number, logX: number) =>
  x < shape + 1 ? Math.min(0, logLowerTail(shape, x, logX)) : logRest(logUpperTail(shape, x, logX));
const logAbove = (shape: number, x: number, logX: number) =>
  x < shape + 1 ? logRest(logLowerTail(shape, x, logX)) : Math.min(0, logUpperTail(shape, x, logX));

/** No logarithm of a chance is taken to be lower than this, so that sums of them stay numbers. */
const LEAST_LOG = -1e5;

/** ln of the chance that Gamma(shape, 1) is at most exp(logX), at least -1e5. Steps as for `gammaCdf`. */
export const logGammaCdf = (shape: number, logX: number) => Math.max(LEAST_LOG, logBelow(shape, Math.exp(logX), logX));

/**
 * The chance, 0 to 1, that Gamma(shape, 1) is at most x; 0 for x ≤ 0. `shape` is above 0. For a scale other than 1 divide
 * x by it. Good to 1e-11 of its value for shapes from 1e-4 to 1e4. O(√shape) steps near x = shape, fewer far from it.
 *
 * @example
 * import { gammaCdf } from 'oilshed/algorithms';
 * gammaCdf(1, 2); // → 1 - Math.exp(-2)
 */
export const gammaCdf = (shape: number, x: number) => (x <= 0 ? 0 : Math.exp(logBelow(shape, x, Math.log(x))));

/**
 * The chance, 0 to 1, that Gamma(shape, 1) is above x; 1 for x ≤ 0. `shape` is above 0. Where it is tiny because x is
 * large it is as exact as elsewhere, 2e-11 of its value for shapes from 1e-4 to 1e4. Where it is tiny because the shape
 * is (1e-9, say) and x is below shape + 1, it is 1 less the chance below: off by some 1e-15, which then is a larger part
 * of it. Cost as `gammaCdf`.
 *
 * @example
 * import { gammaAbove } from 'oilshed/algorithms';
 * gammaAbove(1, 500); // → Math.exp(-500)
 */
export const gammaAbove = (shape: number, x: number) => (x <= 0 ? 1 : Math.exp(logAbove(shape, x, Math.log(x))));

/**
 * ln of xᵃ (1 − x)ᵇ / B(a, b). Powers and B(a, b) are each far from 1 for large a and b, and nearly cancel. With Stirling's
 * formula put in for the three Γ of B, what is left is measured from the mean a / (a + b), where it is largest: two terms
 * that are 0 there, the three errors of Stirling's formula, and a root.
 */
function logBetaTerm(a: number, b: number, x: number, logX: number): number {
  const sum = a + b;
  const offset = x - a / sum;
  const log = a * logRatio(offset, logX, a / sum) + b * logRatio(-offset, Math.log1p(-x), b / sum);
  const errors = stirlingError(sum) - stirlingError(a) - stirlingError(b);
  return log + errors + 0.5 * Math.log((a / sum) * b) - HALF_LOG_TWO_PI;
}

/**
 * ln of the chance that Beta(a, b) is at most x, by the fraction of DLMF 8.17.22: short where x is not far above the
 * mean, and called for x up to the mean only.
 */
function logBetaTail(a: number, b: number, x: number, logX: number): number {
  const part = (step: number) => {
    const m = step >> 1;
    const above = step % 2 === 0 ? m * (b - m) : -(a + m) * (a + b + m);
    return (above * x) / ((a + step - 1) * (a + step));
  };
  return logBetaTerm(a, b, x, logX) - Math.log(a * continuedFraction(part, () => 1));
}

const MOST_STEPS = 200;

/**
 * The x, 0 to 1, under which Beta(alpha, beta) lies with the given chance, 0 < chance < 1; both parameters above 0.
 * Newton's method on ln of the chance over ln x, which is nearly straight far from the mean, in a bracket that each step
 * narrows; from the side of the mean on which x lies: on the far side x and 1 − x change roles, and so do alpha and beta.
 *
 * Good to 1e-10 of its value for parameters from 1e-4 to 1e4. An x too small for a number (alpha of 0.001 and a chance of
 * 0.05 would give 1e-1301) comes back as 0. At most 200 steps, and a few as a rule, each a continued fraction.
 *
 * @example
 * import { betaQuantile } from 'oilshed/algorithms';
 * betaQuantile(0.5, 2, 2); // → 0.5
 */
export function betaQuantile(chance: number, alpha: number, beta: number): number {
  const mean = alpha / (alpha + beta);
  const log = Math.log(chance);
  return log <= logBetaTail(alpha, beta, mean, Math.log(mean))
    ? Math.exp(logLowBetaQuantile(log, alpha, beta))
    : -Math.expm1(logLowBetaQuantile(Math.log1p(-chance), beta, alpha));
}

/** ln of the x under the mean below which Beta(a, b) lies with a chance whose logarithm is given. */
function logLowBetaQuantile(logChance: number, a: number, b: number): number {
  let [low, high] = [Number.NEGATIVE_INFINITY, Math.log(a / (a + b))];
  const logBeta = logGamma(a) + logGamma(b) - logGamma(a + b);
  // The chance is xᵃ / (a B(a, b)) far below the mean, so that this is where to begin, and the answer itself when x is tiny.
  let logX = Math.min(high, (logChance + Math.log(a) + logBeta) / a);
  for (let step = 0; step < MOST_STEPS; step++) {
    const x = Math.exp(logX);
    const log = logBetaTail(a, b, x, logX);
    // The answer stays between low and high. While low is −∞ every point so far was too high and each step went down from
    // it, into the bracket; so the half of an endless bracket is never asked for.
    if (log > logChance) high = logX;
    else low = logX;
    // d ln(chance) / d ln x is x · density ÷ chance, and xᵃ (1 − x)ᵇ / B(a, b) is x (1 − x) · density.
    const slope = Math.exp(logBetaTerm(a, b, x, logX) - log) / (1 - x);
    const next = logX - (log - logChance) / slope;
    const change = (next >= low && next <= high ? next : (low + high) / 2) - logX;
    logX += change;
    if (Math.abs(change) <= LEAST_CHANGE * Math.max(1, Math.abs(logX))) break;
  }
  return logX;
}
