import { stepNormal } from './shapes.ts';
import type { Trial } from './trial.ts';

/**
 * One guessed `holds` at a time; delivery is worked out anew, and every finding weighed.
 *
 * Behind a guessed `holds` stands a standard normal number z, its odds being the default's times 3^z. z takes a step that
 * leaves its prior as it is (`stepNormal`). Prior and proposal then cancel in the ratio of Hastings (1970), so what is
 * left is the likelihood after ÷ before. The litres stay: they were released whatever structures hold. All findings are
 * weighed, and not only those below the structure, because which ones a guess reaches is not kept.
 *
 * `guess` is a number below the model's `guessed`. O(cells × findings + sources + ways between guesses).
 */
export function moveHolds({ state, entered, logLike, random }: Trial, guess: number): void {
  const before = state.stray[guess];
  entered.set(state.entered);
  logLike.set(state.logLike);
  state.stray[guess] = stepNormal(random, before);
  state.stepDelivery();
  state.addUp();
  let ratio = 0;
  for (let finding = 0; finding < logLike.length; finding++) ratio += state.logLike[finding] - logLike[finding];
  // Compared as logarithms: the likelihoods of many findings multiplied would underflow.
  if (Math.log(random.uniform()) <= ratio) return;
  state.stray[guess] = before;
  state.swapDelivery();
  state.entered.set(entered);
  state.logLike.set(logLike);
}
