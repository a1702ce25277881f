import type { BlockAnswer } from '../../../block/index.ts';
import { keptOut, planTelling } from '../../../words/index.ts';
import { block, kindOf } from '../state/picked.ts';
import { isStale } from '../state/stale.ts';
import { say, voice } from '../state/voice.ts';
import { nameOf, yard } from '../state/yard.ts';
import { Arrivals } from './arrivals.tsx';
import { Calls } from './calls.tsx';
import { Costs } from './costs.tsx';
import { ItIsReal } from './it-is-real.tsx';
import { Singles } from './singles.tsx';
import { Care, SpillSure } from './spill-sure.tsx';
import { StepRow } from './step-words.tsx';

/** The plan in words, with the names of the open yard. */
export const tellingOf = (answer: BlockAnswer) =>
  planTelling(answer, { nameOf, kindOf, others: yard.value?.map.others ?? [] }, voice.value);

/** What to do about a spill that is only thought of: the whole plan, what it keeps, and what that rests on. */
export function PlanAhead({ answer }: { answer: BlockAnswer | null }) {
  const shown = block.value;
  if (!answer || !shown) {
    return (
      <p class="answer" aria-live="polite" aria-busy="true" tabIndex={-1}>
        {say('app.working')}
      </p>
    );
  }
  const telling = tellingOf(answer);
  return (
    <>
      <p class="answer" aria-live="polite" aria-busy={isStale.value} tabIndex={-1}>
        {shown.zone !== '' && (
          <span class="answer-place">{say('spill-screen.spill-on', { zone: nameOf(shown.zone) })}</span>
        )}{' '}
        <span class="answer-order long">{wholeIds(telling.now.join(' '))}</span>
      </p>
      <KeptOut answer={answer} />
      <ItIsReal />
      {telling.columns
        .filter(({ steps }) => steps.length > 0)
        .map(({ title, steps }) => (
          <section key={title}>
            <h2>{title}</h2>
            <ol class="orders">
              {steps.map((words) => {
                const step = answer.plan.controls[telling.steps.indexOf(words)];
                return <StepRow key={`${words.control} ${words.at}`} told={{ step, words }} />;
              })}
            </ol>
          </section>
        ))}
      {[...telling.whilePlacing, ...telling.backingUp, ...telling.kept].map((sentence) => (
        <p key={sentence}>{sentence}</p>
      ))}
      <Calls />
      <Care telling={telling} />
      {shown.spill && <Arrivals spill={shown.spill} />}
      <Costs answer={answer} telling={telling} />
      <Singles answer={answer} />
      {shown.spill && <SpillSure telling={telling} spill={shown.spill} />}
    </>
  );
}

/** Less than this is not told as getting anywhere. */
const LEAST_LITRES = 0.05;

/** The figure that stays: what is kept out, against doing nothing since the spill began. */
export function KeptOut({ answer }: { answer: BlockAnswer }) {
  const spill = block.value?.spill;
  const nothing = spill ? { ...answer.doNothing, litres: spill.litres, pastGrates: spill.pastGrates } : undefined;
  const { litres, of, from } = keptOut(answer, nothing);
  if (of < LEAST_LITRES) return <p class="kept-out">{say('spill-screen.none-gets-there')}</p>;
  return (
    <p class="kept-out">
      <strong class="kept-litres">{voice.value.text({ litres })}</strong>{' '}
      <span>{say('spill-screen.kept-out-of', { of: { litres: of }, from })}</span>
    </p>
  );
}

/** Words in which no id is broken at its hyphen. */
export const wholeIds = (words: string) =>
  words.split(/([\p{L}\d]+-[\p{L}\d]+)/u).map((part, at) => (at % 2 === 1 ? <span key={part}>{part}</span> : part));
