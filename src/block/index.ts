/** Where to stop it: controls, what they and clean-up cost, the cheapest plan that a crew can carry out in time. */
export {
  type BlockAnswer,
  type BlockPlan,
  type BlockQuestion,
  findBlocks,
  type PlannedControl,
  type SingleControl,
} from './block.ts';
export { containmentWith, spillNetwork } from './containment.ts';
export { blockExpected, type ExpectedAnswer, type ExpectedQuestion, type SourceChance } from './expected.ts';
export { DEFAULT_MARGIN_MINUTES } from './timing.ts';
