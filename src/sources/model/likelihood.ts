import { isLook, isMeasured, isOily, isSeen, type Observation } from '../question/observation.ts';

/** Chance that oil of this volume is noticed by one who looks. */
export function noticed(litres: number, noticeLitres: number): number {
  return -Math.expm1(-litres / noticeLitres);
}

/** Standard deviation of ln of an amount that is right within ×/÷ `factor` two times in three. */
export const logSpreadOf = (factor: number) => Math.max(1e-3, Math.log(factor));

/**
 * What an observation says, in one form whatever it is: objects of several forms in turn are slow to read. `litres` and `logSpread`
 * are an amount's, `noticeLitres` and `misread` a look's.
 */
export interface Said {
  isSeen: boolean;
  isMeasured: boolean;
  isOily: boolean;
  litres: number;
  logSpread: number;
  noticeLitres: number;
  misread: number;
}

const NO_AMOUNT = { litres: 1, factor: 1 };
const NO_LOOK = { noticeLitres: 1, misread: 0 };

/** What an observation says, for `logLikelihood`: asked for once, since an observation is weighed very often. */
export function saidBy(observation: Observation): Said {
  const { litres, factor } = isMeasured(observation) ? observation : NO_AMOUNT;
  const { noticeLitres, misread } = isLook(observation) ? observation : NO_LOOK;
  return {
    isSeen: isSeen(observation),
    isMeasured: isMeasured(observation),
    isOily: isOily(observation),
    litres,
    logSpread: logSpreadOf(factor),
    noticeLitres,
    misread,
  };
}

/**
 * ln of how well `entered` litres explain a finding: for clean and oil the chance of what was
 * said, a misreading allowed for; for an amount the log-normal density of what was held, without its constant.
 */
export function logLikelihood(said: Said, entered: number, holds: number): number {
  if (!said.isSeen) return 0;
  if (said.isMeasured) {
    const off = Math.log(Math.max(Number.MIN_VALUE, holds * entered) / said.litres) / said.logSpread;
    return -0.5 * off * off;
  }
  const { misread } = said;
  const oil = noticed(entered, said.noticeLitres);
  const right = said.isOily ? oil : 1 - oil;
  return Math.log(Math.max(Number.MIN_VALUE, (1 - misread) * right + misread * (1 - right)));
}
