/** Where to stop it: controls, what they and clean-up cost, the cheapest containment. */
export { cautionsFor, FIRST_WORDS } from './advice.ts';
export {
  type BlockAnswer,
  type BlockPlan,
  type BlockQuestion,
  findBlocks,
  type SingleControl,
  type SpillPlace,
} from './block.ts';
export { containmentWith, spillNetwork } from './containment.ts';
