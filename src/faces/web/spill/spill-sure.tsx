import { isThick } from '../../../drainage/index.ts';
import type { SpillAnswer } from '../../../spill/index.ts';
import { type PlanTelling, spillAssumptions } from '../../../words/index.ts';
import { offline } from '../state/offline.ts';
import { rainMmPerH } from '../state/spill.ts';
import { say, voice } from '../state/voice.ts';

/** The cautions that stand beside any plan. */
export function Care({ telling: { always } }: { telling: PlanTelling }) {
  return (
    <section aria-labelledby="care">
      <h2 id="care">{say('app.take-care')}</h2>
      <ul class="plain-list care">
        {always.map((caution) => (
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
export function SpillSure({ telling, spill }: { telling: PlanTelling; spill: SpillAnswer }) {
  const assumed = [
    ...spillAssumptions(
      spill,
      { isRain: rainMmPerH.value > 0, isThick: spill.fluid !== null && isThick(spill.fluid) },
      voice.value,
    ),
    ...telling.assumed,
    say(OFFLINE[offline.value]),
  ];
  return (
    <>
      <section aria-labelledby="spill-sure">
        <h2 id="spill-sure">{say('app.how-sure')}</h2>
        <ul class="plain-list">
          {telling.gap && <li>{telling.gap}</li>}
          <li>{say('spill-screen.guesses')}</li>
        </ul>
      </section>
      <section aria-labelledby="spill-assumed">
        <h2 id="spill-assumed">{say('app.what-is-assumed')}</h2>
        <ul class="plain-list">
          {[...new Set(assumed)].map((sentence) => (
            <li key={sentence}>{sentence}</li>
          ))}
        </ul>
      </section>
    </>
  );
}
