/** Where to: the way of a spill, when it is where, and how much of it. */
export { cautionsFor, FIRST_WORDS, fluidAdvice } from './advice.ts';
export { type LargestContainer, largestContainer } from './containers.ts';
export {
  type DefaultsUsed,
  findSpill,
  type PosedSpill,
  poseSpill,
  releasesOf,
  type SpillAnswer,
  type SpillArrival,
  type SpillQuestion,
  type SpillWay,
} from './spill.ts';
export type { SpillPlace, SpillStart } from './start.ts';
