import type { PlacedControl, SpillModel, SpillRun } from '../spill/index.ts';
import type { Litres, Steps } from './value.ts';

/**
 * Litres that still get into water, into public drains and past the spill's own grates from a minute on. What has passed
 * the grates by then is what passes where they are closed for good at that minute.
 */
export function stillToCome({ layout, run }: SpillModel, placed: SpillRun, minutes: number): Litres {
  const now = placed.at(minutes);
  const closed = layout.reached.flatMap(({ structure, isOwnGrate }): PlacedControl[] =>
    isOwnGrate ? [{ control: 'cover', at: structure.id, minutes, holds: 1, litres: Number.POSITIVE_INFINITY }] : [],
  );
  const past = run([...placed.placed, ...closed], { countsGround: false }).pastGrates;
  return [placed.toWater - now.toWater, placed.toPublicDrain - now.toPublicDrain, placed.pastGrates - past];
}

/** Whether what is placed holds: nothing that makes a step still gets past it, anywhere. */
export const isHeld = (toCome: Litres, steps: Steps): boolean => toCome.every((litres, level) => litres < steps[level]);
