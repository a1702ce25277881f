/** How full: volumes, condition, forecast of the limit, the next visit. */
export { type FillState, findUpkeep, type SeparatorUpkeep, type UpkeepAnswer } from './upkeep.ts';
