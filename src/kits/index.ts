/** Where kits stand: spots, exact placement, what each holds. */
export type { KitContents } from './contents.ts';
export { findKits, type KitsAnswer, type KitsQuestion, type PlacedKit } from './kits.ts';
