/** Where from: yields, findings, shares, the next lid. */

export { type LearnedRate, learnRates } from './answer/learn.ts';
export { type LidPlan, type NextLid, OPENING_MINUTES } from './answer/next-lid.ts';
export type { Reason } from './answer/reasons.ts';
export type { Share } from './answer/shares.ts';
export {
  findSources,
  type SourcesAnswer,
  type SourcesReply,
  type ZoneShare,
} from './answer/sources.ts';
export type { RuledOut } from './answer/told-apart.ts';
export { amountOf } from './findings/amounts.ts';
export {
  type Amount,
  FINDING_WAYS,
  type FindingSource,
  type FindingValue,
  findingBodySchema,
  findingsFileSchema,
  formOf,
} from './findings/finding-format.ts';
export { type Finding, type FindingsReading, findingsIn, heldIn, readFindings } from './findings/findings.ts';
export { foundOil, isSeen, SEEN, type Seen, saysOil } from './findings/seen.ts';
export { expectedLitresPerYear, type LoadSpread, loadOf, loadSpreadOf, RELATIVE_LOAD } from './question/loads.ts';
export { countedOf } from './question/observation.ts';
export { ONE_SPILL_LITRES, type SourcesOptions } from './question/question.ts';
