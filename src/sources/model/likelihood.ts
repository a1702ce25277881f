import { isLook, isMeasured, isOily, isSeen, type Observation } from '../question/observation.ts';

/**
 * Chance that oil of this volume is noticed by one who looks, 0 to 1: 1 − exp(−litres ÷ noticeLitres). At `noticeLitres`, which must
 * be above 0, it is 0.63; ten times as much is missed once in 22,000 looks. expm1 keeps the digits of small volumes, whose
 * chance is about litres ÷ noticeLitres. The form is a guess. It is taken because exp(−v/v0) is a product over all that adds up to v,
 * which is what lets the weighing take in a look exactly. O(1).
 */
export function noticed(litres: number, noticeLitres: number): number {
  return -Math.expm1(-litres / noticeLitres);
}

/**
 * Standard deviation of ln of an amount that is right within ×/÷ `factor` two times in three: one standard deviation of a normal
 * holds 0.683 of it. A factor of 1 would be certainty, a density of no width that no draw meets; so it is 0.001 at least.
 */
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
 * `entered`, 0 or more, is v = Σ delivery × litres at the place, and `holds`, 0 to 1, what of it stays to be found.
 *
 * It is never above 0, which the chains use to turn moves down early. 0 for a place at which nobody looked. The constant of an
 * amount depends on the finding alone and on nothing that is inferred, so leaving it out changes no share; but the
 * figure says nothing of how probable the findings are altogether.
 *
 * A look is misread with chance m either way: (1 − m)·L + m·(1 − L), so that no look with 0 < m < 1 can rule anything out. Where the
 * chance is 0, as for oil where nothing entered with m = 0, the logarithm is that of the least number there is, about −744,
 * and not −∞: differences of two of them are then still numbers. O(1).
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
