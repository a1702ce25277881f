import { useEffect, useRef } from 'preact/hooks';
import type { BlockAnswer } from '../../../block/index.ts';
import type { PlanTelling } from '../../../words/index.ts';
import { sayOfStep, stepNow, steps, stepsSaid } from '../state/clock.ts';
import { block } from '../state/picked.ts';
import { clockTime } from '../state/site-time.ts';
import type { StepStanding } from '../state/spill-steps.ts';
import { isStale } from '../state/stale.ts';
import { say } from '../state/voice.ts';
import { Arrivals } from './arrivals.tsx';
import { Calls } from './calls.tsx';
import { Elapsed, SaveSpill, Timer } from './clock.tsx';
import { Costs } from './costs.tsx';
import { orderWords } from './order-words.ts';
import { KeptOut, tellingOf, wholeIds } from './plan-ahead.tsx';
import { Reportable } from './reportable.tsx';
import { Sharing } from './sharing.tsx';
import { Singles } from './singles.tsx';
import { Care, SpillSure } from './spill-sure.tsx';
import { Ring, Times, type ToldStep } from './step-words.tsx';
import { WeatherAndHelp } from './weather-and-help.tsx';
import { HowMuch, WhatIsIt } from './what-is-it.tsx';
import { OnGround } from './where-is-it.tsx';

/** A spill whose clock runs: one thing to do after the other, until it is held or handed over. */
export function RunningSpill({ answer }: { answer: BlockAnswer | null }) {
  const spill = block.value?.spill ?? null;
  const telling = answer && tellingOf(answer);
  const told = (answer?.plan.controls ?? []).flatMap((step, at): ToldStep[] =>
    telling && steps.value.includes(step) ? [{ step, words: telling.steps[at] }] : [],
  );
  const now = told.find(({ step }) => step === stepNow.value) ?? null;
  const others = told.filter((each) => each !== now);
  const isOver = told.length === 0 && !isStale.value && answer !== null && answer.state !== 'running';
  return (
    <>
      <div class="running-top">
        <Timer />
        {answer && <KeptOut answer={answer} />}
      </div>
      <Now told={now} telling={telling} answer={answer} />
      {isOver && <SaveSpill />}
      <Calls isOne />
      {others.length > 0 && <Others steps={others} />}
      <Said />
      <Sharing />
      {telling?.backingUp.map((sentence) => (
        <p key={sentence}>{sentence}</p>
      ))}
      <Calls happened={answer && getsOut(answer) ? 'reached-water' : 'neither'} />
      {answer && <Reportable answer={answer} />}
      {telling && <Care telling={telling} />}
      <Elapsed />
      {!isOver && <SaveSpill />}
      {spill && <Arrivals spill={spill} />}
      {answer && telling && <Costs answer={answer} telling={telling} />}
      {answer && <Singles answer={answer} />}
      <details class="fold">
        <summary>{say('spill-screen.change-spill')}</summary>
        <OnGround />
        <WhatIsIt />
        <HowMuch />
        <WeatherAndHelp />
      </details>
      {telling && spill && <SpillSure telling={telling} spill={spill} />}
    </>
  );
}

const getsOut = ({ plan }: BlockAnswer) => plan.litres.toWater + plan.litres.toPublicDrain > 0;

/** A longer order is set smaller. */
const LONG = 36;

/** What to do now; spoken, and given the focus, when it becomes another thing. */
function Now({
  told,
  telling,
  answer,
}: {
  told: ToldStep | null;
  telling: PlanTelling | null;
  answer: BlockAnswer | null;
}) {
  const order = useRef<HTMLHeadingElement>(null);
  const key = told ? `${told.words.control} ${told.words.at}` : isStale.value || !answer ? '' : answer.state;
  const before = useRef(key);
  useEffect(() => {
    // While the next plan is worked out nothing is said.
    if (key === '' || before.current === key) return;
    before.current = key;
    order.current?.focus({ preventScroll: true });
    order.current?.scrollIntoView({ block: 'nearest' });
  }, [key]);
  const isWorking = !told && (isStale.value || !telling);
  const words = told ? told.words.sentence : isWorking ? say('app.working') : (telling?.state ?? '');
  return (
    <section class={told ? 'now' : 'now calm'} aria-labelledby="now">
      {told && told.words.before.length > 0 && <p class="before-step">{told.words.before.join(' ')}</p>}
      <h2 id="now" class="answer" ref={order} tabIndex={-1} aria-live="assertive" aria-busy={isStale.value}>
        <span class={words.length > LONG ? 'answer-order long' : 'answer-order'}>{wholeIds(words)}</span>
      </h2>
      {told && <Doing told={told} />}
      {!told && !isWorking && telling?.why && <p>{telling.why}</p>}
    </section>
  );
}

function Doing({ told }: { told: ToldStep }) {
  const { step, words } = told;
  return (
    <>
      <p class="doing">
        <Ring minutes={step.oilMinutes} />
        <span>
          <Times told={told} /> <span>{words.keeps}</span>
        </span>
      </p>
      <div class="step-answers">
        <StepAnswer told={told} event="placed" look="big strong step-answer first" />
        <StepAnswer told={told} event="cannot" look="big step-answer" />
        <StepAnswer told={told} event="gone-past" look="big step-answer" />
      </div>
    </>
  );
}

/** What a button that answers a step says, and what it says to who does not see which step it is of. */
const ANSWERS = {
  placed: ['spill-screen.placed', 'spill-screen.placed-order'],
  cannot: ['spill-screen.cannot', 'spill-screen.cannot-order'],
  'gone-past': ['spill-screen.gone-past', 'spill-screen.gone-past-order'],
} as const;

function StepAnswer({ told, event, look }: { told: ToldStep; event: keyof typeof ANSWERS; look: string }) {
  const [name, whole] = ANSWERS[event];
  return (
    <button
      type="button"
      class={look}
      aria-label={say(whole, { order: told.words.order })}
      onClick={() => sayOfStep(told.step, event)}
    >
      {say(name)}
    </button>
  );
}

/** What comes next, and what the crews do meanwhile, each with its own answers. */
function Others({ steps: others }: { steps: readonly ToldStep[] }) {
  return (
    <section aria-labelledby="next-steps">
      <h2 id="next-steps">{say('spill-screen.next')}</h2>
      <ol class="next-steps">
        {others.map((told) => {
          const { step, words } = told;
          return (
            <li key={`${step.control} ${step.at}`}>
              <p class="next-what">
                {words.sentence} <Times told={told} />
              </p>
              <StepAnswer told={told} event="placed" look="next-answer" />
              <StepAnswer told={told} event="cannot" look="next-answer" />
            </li>
          );
        })}
      </ol>
    </section>
  );
}

/** What was answered, each with the way back. */
function Said() {
  const said = stepsSaid.value;
  if (said.length === 0) return null;
  return (
    <section aria-labelledby="said-steps">
      <h2 id="said-steps">{say('spill-screen.done-so-far')}</h2>
      <ul class="said-steps">
        {said.map((each) => (
          <SaidStep key={`${each.control} ${each.at}`} said={each} />
        ))}
      </ul>
    </section>
  );
}

function SaidStep({ said }: { said: StepStanding }) {
  const order = orderWords(said);
  return (
    <li>
      <Ring minutes={null} isDone={said.is === 'placed'} />
      <span class="said-what">
        <strong>{order}</strong> {say(`spill-screen.said-${said.is}`, { time: clockTime(said.time) })}
      </span>
      <button
        type="button"
        class="quiet said-back"
        aria-label={say('spill-screen.take-back-order', { order })}
        onClick={() => sayOfStep(said, 'taken-back')}
      >
        {say('spill-screen.take-back')}
      </button>
    </li>
  );
}
