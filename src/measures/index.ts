/** What keeps oil out for the least money: measures, what each does, the best set for a budget. */

export type { PlacedMeasure, Programme } from './best.ts';
export {
  type EndLitres,
  type FrontierPoint,
  type FrontierSoFar,
  findMeasures,
  type MeasureEffect,
  type MeasuresAnswer,
  type MeasuresPlan,
  type MeasuresQuestion,
  measuresFrontier,
  planMeasures,
  programmeOf,
  type Range,
} from './measures.ts';
export type { Stage } from './oil-flow.ts';
