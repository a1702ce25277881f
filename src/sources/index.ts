/** Where from: yields, findings, shares, the next lid. */
export { amountOf } from './amounts.ts';
export {
  type Amount,
  FINDING_WAYS,
  type FindingSource,
  findingBodySchema,
  findingsFileSchema,
  formOf,
  type Saying,
} from './finding-format.ts';
export { type Finding, type FindingsReading, findingsIn, heldIn, readFindings } from './findings.ts';
export { type LearnedRate, learnRates } from './learn.ts';
export { type LidPlan, type NextLid, OPENING_MINUTES } from './next-lid.ts';
export { ONE_SPILL_LITRES, type SourcesOptions } from './question.ts';
export type { Reason } from './reasons.ts';
export { foundOil, isSeen, SEEN, type Seen, saysOil } from './seen.ts';
export {
  findSources,
  type RuledOut,
  type Share,
  type SourcesAnswer,
  type SourcesReply,
  type ZoneShare,
} from './sources.ts';
export { expectedLitresPerYear, RELATIVE_YIELD, roughnessOf, type YieldRoughness, yieldOf } from './yields.ts';
