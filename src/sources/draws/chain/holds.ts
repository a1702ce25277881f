import { stepNormal } from './shapes.ts';
import type { Trial } from './trial.ts';

/** One guessed `holds` at a time; delivery is worked out anew, and every finding weighed. The prior takes care of itself. */
export function moveHolds({ state, entered, logLike, random }: Trial, guess: number): void {
  const before = state.stray[guess];
  entered.set(state.entered);
  logLike.set(state.logLike);
  state.stray[guess] = stepNormal(random, before);
  state.stepDelivery();
  state.addUp();
  let ratio = 0;
  for (let finding = 0; finding < logLike.length; finding++) ratio += state.logLike[finding] - logLike[finding];
  if (Math.log(random.uniform()) <= ratio) return;
  state.stray[guess] = before;
  state.swapDelivery();
  state.entered.set(entered);
  state.logLike.set(logLike);
}
