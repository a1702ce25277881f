/** Where to: the way of a spill, when it is where, and how much of it. */
export {
  cautionsFor,
  deadliest,
  FIRST_WORDS,
  farShutOff,
  fluidAdvice,
  type SafeStep,
  type SpillDanger,
  type SpillSafety,
  safetyFor,
} from './advice.ts';
export {
  callsFor,
  type Happened,
  isInUnitedStates,
  type ReportFacts,
  type ReportQuestion,
  reportable,
  type SpillCall,
} from './calls.ts';
export { type LargestContainer, largestContainer } from './containers.ts';
export type { Layout, Reached, Way } from './layout.ts';
export { type ModelFacts, type SpillModel, type SpillRun, spillModel } from './model.ts';
export type { PlacedControl, SpillLitres } from './placed.ts';
export { type FactFrom, type PosedSpill, poseSpill, releasesOf, type SpillQuestion } from './question.ts';
export { MOST_LITRES, MOST_MINUTES, MOST_RAIN_MM_PER_H, questionProblems } from './question-problems.ts';
export {
  type DefaultsUsed,
  findSpill,
  type SpillAnswer,
  type SpillArrival,
  type SpillWay,
} from './spill.ts';
export type { SpillPlace, SpillStart } from './start.ts';
