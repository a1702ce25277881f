import type { Transform } from './flat.ts';
import type { FlatYard } from './flat-yard.ts';

/** Pixels from a structure to its nearest neighbour, at the middle of all, from which marks are drawn at full size. */
const ROOMY_PX = 40;
const SMALLEST = 0.5;

/**
 * How large marks are drawn, 0.5 to 1: full where structures stand well apart on screen, smaller where they would run
 * into each other, as on a whole yard on a phone. Coming nearer brings them back to full size.
 */
export function markSize({ spacing }: Pick<FlatYard, 'spacing'>, { scale }: Transform): number {
  return Math.max(SMALLEST, Math.min(1, (spacing * scale) / ROOMY_PX));
}

/** Below this size the ids of structures are left out, except those that the answer names. */
export const NAMED_FROM = 0.75;
