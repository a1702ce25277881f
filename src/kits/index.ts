/** Where kits stand: spots, exact placement, what each holds. */
export { type KitContents, largestLitres } from './contents.ts';
export { findKits, type KitsAnswer, type KitsQuestion, type PlacedKit } from './kits.ts';
export { costOf, type Median, pMedian } from './median.ts';
