import type { Fluid, Zone } from '../site-map/index.ts';

/** A zone that lists no container is taken to have a drum: 55 US gal, 208 L. A guess. */
const DRUM_LITRES = 208;

/** What can be spilled at once on a zone. */
export interface LargestContainer {
  litres: number;
  /** What is in it; null where the map lists no container. */
  fluid: Fluid | null;
}

/**
 * The largest container that a zone lists, the first of those as large; a drum of 208 L, of no fluid, where it lists
 * none. What can be spilled at once, for planning ahead: not what a spill of several containers or of a line that runs
 * on comes to. O(fluids).
 */
export function largestContainer({ properties }: Zone): LargestContainer {
  return (properties.fluids ?? []).reduce<LargestContainer>(
    (largest, { fluid, largestLitres = 0 }) =>
      largestLitres > (largest.fluid === null ? 0 : largest.litres) ? { fluid, litres: largestLitres } : largest,
    { litres: DRUM_LITRES, fluid: null },
  );
}
