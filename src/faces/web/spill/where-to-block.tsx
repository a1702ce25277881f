import './spill.css';
import type { BlockAnswer } from '../../../block/index.ts';
import { type Part, type Text, told } from '../../../catalogue/index.ts';
import { nothingPlaced } from '../../../words/index.ts';
import { planNow, stepNow, steps } from '../state/clock.ts';
import { type BlockShown, block } from '../state/picked.ts';
import { isClockOn } from '../state/spill.ts';
import { isStale } from '../state/stale.ts';
import { say, voice } from '../state/voice.ts';
import { nameOf, yard } from '../state/yard.ts';
import { Arrivals } from './arrivals.tsx';
import { CallOne, Calls } from './calls.tsx';
import { Clock, SaveSpill } from './clock.tsx';
import { Costs } from './costs.tsx';
import { HowMuch } from './how-much.tsx';
import { IfMissed } from './if-missed.tsx';
import { orderInside } from './order-words.ts';
import { Singles } from './singles.tsx';
import { SpillForm } from './spill-form.tsx';
import { Care, SpillSure } from './spill-sure.tsx';
import { Steps } from './steps.tsx';

/** A spill now: what to do first, then what oil reaches and when, what it costs, and what all that rests on. */
export function WhereToBlock() {
  const shown = block.value;
  const answer = shown?.answer;
  const isOn = isClockOn.value;
  const isGasoline = answer?.fluid === 'gasoline';
  return (
    <div class="where-to">
      <p class="first-words">{yard.value && voice.value.tell(yard.value.firstWords)}</p>
      <SpokenAnswer shown={shown} />
      {answer && answer.advice.length > 0 && (
        <div class="advice">
          {answer.advice.map(voice.value.tell).map((each) => (
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
          <summary>{say('spill-screen.change-spill')}</summary>
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
        {say('app.working')}
      </p>
    );
  }
  const { parts, rest } = isClockOn.value ? saidNow(answer) : spoken(answer, nameOf(shown.zone));
  return (
    <p class="answer" aria-live="polite" aria-busy={isStale.value}>
      {parts.map(drawnPart)}
      {rest && <span class="answer-rest"> {wholeIds(rest)}</span>}
    </p>
  );
}

const LONG = 36;
/** A long sentence is set smaller; when all is done nothing presses. */
const lookOf = (order: string) =>
  ['answer-order', order.length > LONG && 'long', isClockOn.value && stepNow.value === null && 'calm']
    .filter(Boolean)
    .join(' ');

function drawnPart({ text, tag }: Part) {
  if (tag === 'place') return <span class="answer-place">{text}</span>;
  return tag === 'order' ? <span class={lookOf(text)}>{wholeIds(text)}</span> : text;
}

/** Words in which no id is broken at its hyphen. */
const wholeIds = (words: string) =>
  words.split(/([\p{L}\d]+-[\p{L}\d]+)/u).map((part, at) => (at % 2 === 1 ? <span key={part}>{part}</span> : part));

/** The sentence that says where and what to do, in its parts, and what else there is to say. */
interface Spoken {
  parts: Part[];
  rest: string;
}

function spoken(answer: BlockAnswer, zoneName: string): Spoken {
  const { order, rest } = whatToDo(answer);
  const parts =
    zoneName === ''
      ? voice.value.parts('spill-screen.spill-here', { order })
      : voice.value.parts('spill-screen.spill-on', { zone: zoneName, order });
  return { parts, rest: rest.join(' ') };
}

/** What to do about a spill that has not been timed yet, to stand inside a sentence, and what follows. */
function whatToDo(answer: BlockAnswer): { order: Text; rest: string[] } {
  const { plan, evenLate } = answer;
  const [first, ...others] = plan.controls;
  if (first) {
    const rest = [...(others.length > 0 ? [say('spill-screen.then', { orders: inTurn(others) })] : []), ...lost(plan)];
    return { order: told('spill-screen.do-now', { order: orderInside(first) }), rest };
  }
  if (evenLate) {
    const order = told('spill-screen.do-late', { order: orderInside(evenLate) });
    return { order, rest: [say('spill-screen.not-sure')] };
  }
  return nothingToBlock(answer);
}

/** "plug the outlet of MH-2, then boom OF-1". */
const inTurn = (controls: BlockAnswer['plan']['controls']) =>
  controls.map(orderInside).reduceRight((rest, first) => say('spill-screen.and-then', { first, rest }));

/** What the plan cannot keep oil out of; empty where it keeps it out of every water. */
const lost = ({ waters }: BlockAnswer['plan']) =>
  waters.length > 0 ? [say('spill-screen.no-plan-keeps-out', { waters: { list: waters } })] : [];

/** Where no control can be placed: why, and what to do instead. */
function nothingToBlock(answer: BlockAnswer): { order: Text; rest: string[] } {
  const nothing = nothingPlaced(answer, 'after', voice.value);
  return nothing ? { order: nothing.why, rest: [nothing.instead] } : { order: '', rest: [] };
}

/** While the clock runs: the step that is next. */
function saidNow(answer: BlockAnswer): Spoken {
  const step = stepNow.value;
  const rest = lost(planNow.value ?? answer.plan);
  if (step) {
    const order = told('spill-screen.do-this', { order: orderInside(step) });
    return { parts: voice.value.parts('spill-screen.now', { order }), rest: rest.join(' ') };
  }
  if (steps.value.length > 0) {
    return {
      parts: voice.value.parts('spill-screen.all-in-place'),
      rest: rest.join(' ') || say('spill-screen.see-nothing-passes'),
    };
  }
  const instead = nothingToBlock(answer);
  return { parts: voice.value.parts('spill-screen.now', { order: instead.order }), rest: instead.rest.join(' ') };
}

/** The plan in one sentence that names the zone: "A spill on the fuel island: cover CB-4 now." */
export function spokenPlan(answer: BlockAnswer, zoneName: string): string {
  const { parts, rest } = spoken(answer, zoneName);
  return `${parts.map(({ text }) => text).join('')} ${rest}`.trim();
}
