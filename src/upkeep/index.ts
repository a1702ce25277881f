/** How full: volumes, condition, forecast of the limit, the next visit. */
export { type Condition, conditionSchema, type FillLimits, oilIn, type Step, stepsAfter } from './condition.ts';
export {
  type Emptied,
  type FillState,
  fillLimits,
  findUpkeep,
  type Look,
  type SeparatorUpkeep,
  type UpkeepAnswer,
  type UpkeepQuestion,
} from './upkeep.ts';
