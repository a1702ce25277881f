/** Where kits stand: spots, exact placement, what each holds. */
export type { KitContents } from './contents.ts';
export {
  type CurvePoint,
  type CurveSoFar,
  findKits,
  type KitsAnswer,
  type KitsPlan,
  type KitsQuestion,
  kitsCurve,
  type PlacedKit,
  planKits,
} from './kits.ts';
