import type { Observation } from '../question/observation.ts';

/** Chance that oil of this volume is noticed by one who looks. */
export function noticed(litres: number, noticeLitres: number): number {
  return -Math.expm1(-litres / noticeLitres);
}

/** Standard deviation of ln of an amount that is right within ×/÷ `factor` two times in three. */
export const logSpreadOf = (factor: number) => Math.max(1e-3, Math.log(factor));

/**
 * ln of how well `entered` litres explain a finding: for clean and oil the chance of what was
 * said, a misreading allowed for; for an amount the log-normal density of what was held, without its constant.
 */
export function logLikelihood(observation: Observation, entered: number, holds: number): number {
  switch (observation.seen) {
    case 'unseen':
      return 0;
    case 'amount': {
      const { litres, factor } = observation;
      const off = Math.log(Math.max(Number.MIN_VALUE, holds * entered) / litres) / logSpreadOf(factor);
      return -0.5 * off * off;
    }
    case 'clean':
      return logSaid(1 - noticed(entered, observation.noticeLitres), observation.misread);
    case 'oil':
      return logSaid(noticed(entered, observation.noticeLitres), observation.misread);
    default:
      return observation satisfies never;
  }
}

/** ln of the chance of what was said, where it is right with a chance and may have been misread. */
const logSaid = (right: number, misread: number) =>
  Math.log(Math.max(Number.MIN_VALUE, (1 - misread) * right + misread * (1 - right)));
