/** What keeps oil out for the least money: measures, what each does, the best set for a budget. */
export {
  type FrontierSoFar,
  findMeasures,
  type MeasureEffect,
  type MeasuresAnswer,
  type MeasuresPlan,
  measuresFrontier,
  planMeasures,
  programmeOf,
  type Range,
} from './measures.ts';
