/** What keeps oil out for the least money: measures, what each does, the best set for a budget. */
export { findMeasures, type MeasureEffect, type MeasuresAnswer, programmeOf, type Range } from './measures.ts';
export { DEFAULT_MEASURES, type MeasureKind } from './table.ts';
