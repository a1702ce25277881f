// jstat ships no types; these are the functions that are used.
declare module 'jstat' {
  const library: {
    jStat: {
      beta: { inv(chance: number, alpha: number, beta: number): number };
      gammaln(x: number): number;
      lowRegGamma(shape: number, x: number): number;
      normal: { cdf(x: number, mean: number, deviation: number): number };
    };
  };
  export default library;
}
