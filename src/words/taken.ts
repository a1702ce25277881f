import type { Voice } from '../catalogue/index.ts';
import type { PosedSpill } from '../spill/index.ts';

/** What was taken of a spill that nobody said and the map does not list. */
export function takenWords(
  { fluid, fluidFrom, isStill, overMinutes: minutes, overFrom }: Omit<PosedSpill, 'start'>,
  voice: Voice,
): string[] {
  const isFluidTaken = fluidFrom === 'assumed' && fluid !== null && fluid !== 'other';
  return [
    ...(isFluidTaken ? [voice.say('answers.assume-fluid', { fluid: voice.say(`things.fluid-${fluid}`) })] : []),
    ...(overFrom === 'assumed'
      ? [voice.say(isStill ? 'answers.assume-until' : 'answers.assume-over', { minutes })]
      : []),
  ];
}
