import type { BlockAnswer } from '../../../block/index.ts';
import { isThick } from '../../../drainage/index.ts';
import type { SpillAnswer } from '../../../spill/index.ts';
import { blockAssumptions, spillAssumptions } from '../../../words/index.ts';
import { offline } from '../state/offline.ts';
import { rainMmPerH } from '../state/spill.ts';
import { say, voice } from '../state/voice.ts';
import { yard } from '../state/yard.ts';

/** The cautions that stand beside any plan. */
export function Care({ answer: { cautions } }: { answer: BlockAnswer }) {
  return (
    <section aria-labelledby="care">
      <h2 id="care">{say('app.take-care')}</h2>
      <ul class="plain-list care">
        {cautions.map(voice.value.tell).map((caution) => (
          <li key={caution}>{caution}</li>
        ))}
      </ul>
    </section>
  );
}

const OFFLINE = {
  stored: 'spill-screen.offline-stored',
  storing: 'spill-screen.offline-storing',
  'not secure': 'spill-screen.offline-not-secure',
  'not possible': 'spill-screen.offline-not-possible',
} as const;

/** How sure the plan and the times are, and what they take for granted. */
export function SpillSure({ answer, spill }: { answer: BlockAnswer; spill: SpillAnswer }) {
  if (!yard.value) return null;
  const assumed = [
    ...spillAssumptions(
      spill,
      { isRain: rainMmPerH.value > 0, isThick: spill.fluid !== null && isThick(spill.fluid) },
      voice.value,
    ),
    ...blockAssumptions(answer, yard.value.map, voice.value),
    say(OFFLINE[offline.value]),
  ];
  return (
    <>
      <section aria-labelledby="spill-sure">
        <h2 id="spill-sure">{say('app.how-sure')}</h2>
        <ul class="plain-list">
          <li>{gapWords(answer)}</li>
          <li>{say('spill-screen.guesses')}</li>
        </ul>
      </section>
      <section aria-labelledby="spill-assumed">
        <h2 id="spill-assumed">{say('app.what-is-assumed')}</h2>
        <ul class="plain-list">
          {assumed.map((sentence) => (
            <li key={sentence}>{sentence}</li>
          ))}
        </ul>
      </section>
    </>
  );
}

function gapWords({ plan, isTimed }: BlockAnswer): string {
  if (plan.gap > 0) return say('spill-screen.gap', { share: { share: Math.ceil(plan.gap * 100) / 100 } });
  return say(isTimed ? 'spill-screen.proved-timed' : 'spill-screen.proved');
}
