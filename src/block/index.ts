/** Where to stop it: controls, what they and clean-up cost, the cheapest plan that a crew can carry out in time. */

export type {
  BackingUp,
  BlockAnswer as PlanAnswer,
  BlockPlan as Plan,
  BlockQuestion as PlanQuestion,
  Doer,
  Hand,
  PlannedControl as PlanStep,
  SingleControl as PlanSingle,
  SpillState,
} from './answer.ts';
export {
  type BlockAnswer,
  type BlockPlan,
  type BlockQuestion,
  type BlockReply,
  findBlocks,
  type PlannedControl,
  type SingleControl,
} from './block.ts';
export {
  type CardColumn,
  type CardOptions,
  type CardStep,
  type CardTiming,
  DESIGN_RAIN_MM_PER_H,
  type NearestKit,
  type ResponseCard,
  responseCard,
  zonesWithCards,
} from './cards.ts';
export { type CleanUp, cleanUpOf, type Fouled } from './clean-up.ts';
export {
  type Alone,
  type BlockStart,
  type Choice,
  type Containment,
  containmentWith,
  eachAlone,
  type Gate,
  type SpillNetwork,
  spillNetwork,
} from './containment.ts';
export {
  type ControlChoice,
  controlsAt,
  type Device,
  devicesOf,
  newestDay,
  type Responder,
  respondersOf,
} from './costs.ts';
export {
  blockExpected,
  type ExpectedAnswer,
  type ExpectedPlan,
  type ExpectedQuestion,
  type SourceChance,
} from './expected.ts';
export { coverFits, type KitStock, kitsOf } from './kits-stock.ts';
export { planBlocks } from './plan-blocks.ts';
