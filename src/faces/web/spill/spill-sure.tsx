import type { BlockAnswer } from '../../../block/index.ts';
import { isThick } from '../../../drainage/index.ts';
import type { SpillAnswer } from '../../../spill/index.ts';
import { blockAssumptions, spillAssumptions } from '../../../words/index.ts';
import { offline } from '../state/offline.ts';
import { rainMmPerH } from '../state/spill.ts';
import { voice } from '../state/voice.ts';
import { yard } from '../state/yard.ts';

/** The cautions that stand beside any plan. */
export function Care({ answer: { cautions } }: { answer: BlockAnswer }) {
  return (
    <section aria-labelledby="care">
      <h2 id="care">Take care</h2>
      <ul class="plain-list care">
        {cautions.map((caution) => (
          <li key={caution}>{caution}</li>
        ))}
      </ul>
    </section>
  );
}

const OFFLINE_WORDS = {
  stored: 'This page is stored on this device: it opens and answers with no network.',
  storing: 'This page is being stored on this device, to work with no network.',
  'not secure': 'This address is not secure (https), so the page is not stored: without a network it will not open.',
  'not possible': 'This browser does not store the page: without a network it will not open.',
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
    OFFLINE_WORDS[offline.value],
  ];
  return (
    <>
      <section aria-labelledby="spill-sure">
        <h2 id="spill-sure">How sure</h2>
        <ul class="plain-list">
          <li>{gapWords(answer)}</li>
          <li>What the amount buttons stand for, costs and set-up times are guesses: put your own in the map.</li>
        </ul>
      </section>
      <section aria-labelledby="spill-assumed">
        <h2 id="spill-assumed">What is assumed</h2>
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
  if (plan.gap > 0) return `A cheaper plan may exist, by at most ${Math.ceil(plan.gap * 100)} %.`;
  return isTimed
    ? 'On this map no cheaper plan can be in place in time: that is proved, for these times and costs.'
    : 'On this map no plan is cheaper: that is proved, for these costs.';
}
