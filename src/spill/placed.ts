import type { Control } from '../site-map/index.ts';

/** A control in place, or one that is tried out: where, from which minute on, and how well it holds. */
export interface PlacedControl {
  control: Control;
  /** The structure; for a berm or an absorbent the zone, for a device (fuel stop, pump switch, diverter) its own id. */
  at: string;
  /** In place from this minute on, counted from the start of the release; -Infinity where it stood there before. */
  minutes: number;
  /** Part of what comes that it keeps, 0 to 1. */
  holds: number;
  /** Litres that it can keep; Infinity where there is no limit. */
  litres: number;
}

/**
 * Where the litres of a release are at one minute, or in the end. `released` is the sum of the others: what is still on
 * the way counts as moving, what stays on the ground or runs over it as on the ground.
 */
export interface SpillLitres {
  released: number;
  /** Stopped by controls that were placed; also what a source that was turned off never let out. */
  kept: number;
  /** Left in structures, links and separators. */
  held: number;
  onGround: number;
  toWater: number;
  toPublicDrain: number;
  moving: number;
}
