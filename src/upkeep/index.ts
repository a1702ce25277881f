/** How full: volumes, condition, forecast of the limit, the next visit. */

export { type Condition, type FillLimits, oilIn, type Step, stepsAfter } from './condition.ts';
export { conditionSchema } from './condition-format.ts';
export { FEWEST_READINGS } from './forecast.ts';
export {
  type Emptied,
  type FillState,
  fillLimits,
  findUpkeep,
  type Inspection,
  roomsByReading,
  type SeparatorUpkeep,
  type UpkeepAnswer,
  type UpkeepQuestion,
} from './upkeep.ts';
