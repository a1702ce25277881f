/**
 * base to the power of exponent, base ≥ 0, within a few units of the last digit: by exp and ln, which give the same digits in
 * every version of the engine. `**` does not: its last digit changed between Node 22 and 24.
 *
 * @example
 * import { power } from 'oilshed/algorithms';
 * power(2, 0.5); // → Math.SQRT2
 */
export const power = (base: number, exponent: number) => Math.exp(exponent * Math.log(base));
