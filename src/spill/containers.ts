import type { Fluid, Zone } from '../site-map/index.ts';

/** A zone that lists no container is taken to have a drum: 55 US gal, 208 L. A guess. */
const DRUM_LITRES = 208;

/** What can be spilled at once on a zone. */
export interface LargestContainer {
  litres: number;
  /** What is in it; null where the map lists no container. */
  fluid: Fluid | null;
}

/** The largest container that a zone lists, the first of those as large; a drum where it lists none. */
export function largestContainer({ properties }: Zone): LargestContainer {
  return (properties.fluids ?? []).reduce<LargestContainer>(
    (largest, { fluid, largestLitres = 0 }) =>
      largestLitres > (largest.fluid === null ? 0 : largest.litres) ? { fluid, litres: largestLitres } : largest,
    { litres: DRUM_LITRES, fluid: null },
  );
}
