import './spill.css';
import type { BlockAnswer } from '../../../block/index.ts';
import { planSentences } from '../../../words/index.ts';
import { planNow, stepNow, steps } from '../state/clock.ts';
import { type BlockShown, block } from '../state/picked.ts';
import { isClockOn } from '../state/spill.ts';
import { isStale } from '../state/stale.ts';
import { voice } from '../state/voice.ts';
import { nameOf, yard } from '../state/yard.ts';
import { Arrivals } from './arrivals.tsx';
import { CallOne, Calls } from './calls.tsx';
import { Clock, SaveSpill } from './clock.tsx';
import { Costs } from './costs.tsx';
import { HowMuch } from './how-much.tsx';
import { IfMissed } from './if-missed.tsx';
import { orderWords } from './order-words.ts';
import { Singles } from './singles.tsx';
import { SpillForm } from './spill-form.tsx';
import { Care, SpillSure } from './spill-sure.tsx';
import { Steps } from './steps.tsx';

/** Where to? What to do first, then what oil reaches and when, what it costs, and what all that rests on. */
export function WhereToBlock() {
  const shown = block.value;
  const answer = shown?.answer;
  const isOn = isClockOn.value;
  const isGasoline = answer?.fluid === 'gasoline';
  return (
    <div class="where-to">
      <p class="first-words">{yard.value?.firstWords}</p>
      <SpokenAnswer shown={shown} />
      {answer && answer.advice.length > 0 && (
        <div class="advice">
          {answer.advice.map((each) => (
            <p key={each}>{each}</p>
          ))}
        </div>
      )}
      {isGasoline && <CallOne isFire />}
      {answer && <Steps answer={answer} />}
      {!isOn && <HowMuch />}
      <Clock />
      {answer && answer.plan.waters.length > 0 && !isGasoline && <CallOne />}
      {!isOn && <SpillForm />}
      {answer && <IfMissed answer={answer} />}
      <Calls isFireFirst={isGasoline} />
      {answer && <Care answer={answer} />}
      {isOn && <SaveSpill />}
      {shown?.spill && <Arrivals spill={shown.spill} />}
      {answer && <Costs answer={answer} />}
      {answer && <Singles answer={answer} />}
      {isOn && (
        <details class="fold">
          <summary>Change the spill</summary>
          <HowMuch />
          <SpillForm />
        </details>
      )}
      {answer && shown.spill && <SpillSure answer={answer} spill={shown.spill} />}
    </div>
  );
}

/** What is said first: where, and what to do there now. */
function SpokenAnswer({ shown }: { shown: BlockShown | null }) {
  const answer = shown?.answer;
  if (!shown || !answer) {
    return (
      <p class="answer" aria-live="polite" aria-busy="true">
        Working it out …
      </p>
    );
  }
  const { place, order, rest } = isClockOn.value ? nowParts(answer) : spokenParts(answer, nameOf(shown.zone));
  return (
    <p class="answer" aria-live="polite" aria-busy={isStale.value}>
      <span class="answer-place">{place}</span> <span class={lookOf(order)}>{wholeIds(order)}</span>
      {rest && <span class="answer-rest">{` ${rest}`}</span>}
    </p>
  );
}

const LONG = 36;
/** A long sentence is set smaller; when all is done nothing presses. */
const lookOf = (order: string) =>
  ['answer-order', order.length > LONG && 'long', isClockOn.value && stepNow.value === null && 'calm']
    .filter(Boolean)
    .join(' ');

/** Words in which no id is broken at its hyphen. */
const wholeIds = (words: string) =>
  words.split(/(\S+-\S+)/).map((part, at) => (at % 2 === 1 ? <span key={part}>{part}</span> : part));

/** A sentence or two in three parts: where, what to do, and what else there is to say. */
interface Spoken {
  place: string;
  order: string;
  rest: string;
}

const lower = (text: string) => text.charAt(0).toLowerCase() + text.slice(1);
const NOT_SURE = 'Nothing is sure to be there in time.';

function spokenParts(answer: BlockAnswer, zoneName: string): Spoken {
  const place = zoneName === '' ? 'A spill here:' : `A spill on ${zoneName}:`;
  const [first, ...others] = answer.plan.controls;
  if (first) {
    const then = others.length > 0 ? `Then ${others.map((each) => lower(orderWords(each))).join(', then ')}.` : '';
    return {
      place,
      order: `${lower(orderWords(first))} now.`,
      rest: [then, lostWords(answer.plan)].filter(Boolean).join(' '),
    };
  }
  if (answer.evenLate) {
    return { place, order: `${lower(orderWords(answer.evenLate))} all the same, and call.`, rest: NOT_SURE };
  }
  const [order, rest] = halves(planSentences(answer, (id) => id, voice.value)[0]);
  return { place, order: lower(order), rest };
}

/** What the plan cannot keep oil out of; empty where it keeps it out of every water. */
const lostWords = ({ waters }: BlockAnswer['plan']) =>
  waters.length > 0 ? `No plan keeps it out of ${waters.join(', ')}: call.` : '';

/** The first sentence of several, and the others. */
function halves(words: string): [string, string] {
  const end = words.indexOf('. ');
  return end < 0 ? [words, ''] : [words.slice(0, end + 1), words.slice(end + 2)];
}

/** While the clock runs: the step that is next. */
function nowParts(answer: BlockAnswer): Spoken {
  const step = stepNow.value;
  if (step)
    return { place: 'Now:', order: `${lower(orderWords(step))}.`, rest: lostWords(planNow.value ?? answer.plan) };
  if (steps.value.length > 0) {
    const rest = lostWords(planNow.value ?? answer.plan) || 'See that nothing gets past, and take the oil up.';
    return { place: 'All is in place.', order: 'Keep watch.', rest };
  }
  const [order, rest] = halves(planSentences(answer, (id) => id, voice.value)[0]);
  return { place: '', order, rest };
}

/** The plan in one sentence that names the zone: "A spill on the fuel island: cover CB-4 now." */
export function spokenPlan(answer: BlockAnswer, zoneName: string): string {
  const { place, order, rest } = spokenParts(answer, zoneName);
  return [place, order, rest].filter(Boolean).join(' ');
}
