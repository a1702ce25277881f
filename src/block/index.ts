/** Where to stop it: controls, what they and clean-up cost, the plan that keeps most out by the people who are there. */

export type {
  BackingUp,
  BlockAnswer,
  BlockPlan,
  BlockQuestion,
  Doer,
  Hand,
  PlannedControl,
  SingleControl,
  SpillState,
} from './answer.ts';
export { findBlocks } from './block.ts';
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
