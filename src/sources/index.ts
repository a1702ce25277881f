/** Where from: yields, findings, shares, the next lid. */
export { type Finding, type FindingsReading, findingsFileSchema, readFindings } from './findings.ts';
export type { NextLid } from './next-lid.ts';
export { DEFAULT_UNMAPPED_SHARE, RELEASE_FACTOR, RELEASE_MEDIAN, type SourcesOptions } from './question.ts';
export { findSources, type Share, type SourcesAnswer, type SourcesReply, type ZoneShare } from './sources.ts';
export { DEFAULT_YIELD_FACTOR, expectedLitresPerYear, RELATIVE_YIELD, yieldOf } from './yields.ts';
