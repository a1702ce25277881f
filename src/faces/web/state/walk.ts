import { computed, effect, signal, untracked } from '@preact/signals';
import { ask } from '../compute/ask.ts';
import type { Asks, Walk } from '../compute/protocol.ts';
import { stepNow } from './clock.ts';
import { block } from './picked.ts';
import { chosenPlace } from './spill.ts';

/** The way of who does the step that is to be done now; null until it is known, and where nobody walks. */
export const walkNow = signal<Walk | null>(null);

const walkAsked = computed((): Asks['walk'] | null => {
  const [step, place] = [stepNow.value, chosenPlace.value];
  const hand = block.value?.answer?.hands.find(({ id }) => id === step?.hand);
  return step && place && hand ? { from: hand.position, kit: step.kit, at: step.at, place } : null;
});

/** Keeps the way in step with what is to be done, for as long as the page lives. */
export function keepWalk(): void {
  let asked = '';
  effect(() => {
    const question = walkAsked.value;
    const word = JSON.stringify(question);
    if (word === asked) return;
    asked = word;
    untracked(() => void follow(question, () => word === asked));
  });
}

async function follow(question: Asks['walk'] | null, isCurrent: () => boolean): Promise<void> {
  const outcome = question && (await ask('walk', question));
  if (isCurrent()) walkNow.value = outcome && 'reply' in outcome ? outcome.reply : null;
}
