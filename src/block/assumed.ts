import { type Told, told } from '../catalogue/index.ts';
import type { Choice } from './choice.ts';
import type { Situation } from './situation.ts';
import { CREW_START_MINUTES, HERE_START_MINUTES } from './who.ts';

/** What was taken for a plan that the map does not say: minutes, how valves stand, and what was left out. */
export function assumedIn({ model, hands, question }: Situation, { chosen, bestOf }: Choice): Told[] {
  const assumed: Told[] = [];
  if (chosen.length > 0 && hands) {
    if (chosen.some(({ offer }) => offer.isDefaultTime)) assumed.push(told('block.assumed-times'));
    if (!question.hands?.every(({ startMinutes }) => startMinutes !== undefined))
      assumed.push(told('block.assumed-starts', { here: HERE_START_MINUTES, crew: CREW_START_MINUTES }));
  }
  for (const { structure } of model.layout.reached)
    if (structure.kind === 'valve' && (structure.properties.state ?? 'unknown') === 'unknown')
      assumed.push(told('block.assumed-valve', { at: structure.id }));
  if (bestOf) assumed.push(told('block.assumed-best', { count: bestOf.places, best: bestOf.best }));
  return assumed;
}
