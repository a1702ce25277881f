import type { BlockAnswer } from '../../../block/index.ts';
import { planSentences } from '../../../words/index.ts';
import { running, setMissed } from '../state/clock.ts';
import { say, voice } from '../state/voice.ts';

/** What is left to do when the first control comes too late; while the clock runs, the way over to it. */
export function IfMissed({ answer }: { answer: BlockAnswer }) {
  if (!answer.ifMissed) return null;
  const words = planSentences({ ...answer, plan: answer.ifMissed, isTooLate: false }, (id) => id, voice.value);
  const spill = running.value;
  return (
    <section aria-labelledby="if-missed">
      <h2 id="if-missed">{say('spill-screen.if-missed')}</h2>
      <p>{words.join(' ')}</p>
      {spill && answer.ifMissed.controls.length > 0 && (
        <button type="button" class="quiet" onClick={() => setMissed(!spill.isMissed)}>
          {say(spill.isMissed ? 'spill-screen.first-plan' : 'spill-screen.missed')}
        </button>
      )}
    </section>
  );
}
