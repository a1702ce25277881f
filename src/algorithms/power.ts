/**
 * base to the power of exponent, base ≥ 0, within a few units of the last digit: by exp and ln, which give the same
 * digits in every version of the engine. `**` does not: its last digit changed between Node 22 and 24. 0 to a power above
 * 0 is 0; 0 to the power 0 and a negative base are NaN. A result far from 1 has fewer digits: its relative error grows
 * with its logarithm.
 *
 * @example
 * import { power } from 'oilshed/algorithms';
 * power(2, 0.5); // → Math.SQRT2
 */
export const power = (base: number, exponent: number) => Math.exp(exponent * Math.log(base));
