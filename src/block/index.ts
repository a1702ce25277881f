/** Where to stop it: controls, what they and clean-up cost, the cheapest plan that a crew can carry out in time. */
export {
  type BlockAnswer,
  type BlockPlan,
  type BlockQuestion,
  findBlocks,
  type PlannedControl,
  type SingleControl,
} from './block.ts';
export {
  type CardOptions,
  type CardStep,
  type CardTiming,
  DESIGN_RAIN_MM_PER_H,
  type NearestKit,
  type ResponseCard,
  responseCard,
} from './cards.ts';
export { containmentWith, eachAlone, spillNetwork } from './containment.ts';
export { blockExpected, type ExpectedAnswer, type ExpectedQuestion, type SourceChance } from './expected.ts';
