import type { ComponentChildren } from 'preact';
import type { BlockAnswer } from '../../../block/index.ts';
import { told } from '../../../catalogue/index.ts';
import { SeenSign } from '../../../drawing/index.ts';
import { isPast, isPressing, ringWords, timerWords } from '../parts/countdown.ts';
import { Rich } from '../parts/rich.tsx';
import { minutesLeft, placedAt, type Step, stepNow, steps, togglePlaced } from '../state/clock.ts';
import { block, pick, pickedId } from '../state/picked.ts';
import { clockTime } from '../state/site-time.ts';
import { isClockOn } from '../state/spill.ts';
import { say, voice } from '../state/voice.ts';
import { nameOf, yard } from '../state/yard.ts';
import { orderWords } from './order-words.ts';

const MS_PER_MINUTE = 60_000;

/** What to do, in order, each with its deadline and the kit to take it from; while the clock runs each can be ticked. */
export function Steps({ answer }: { answer: BlockAnswer }) {
  if (steps.value.length === 0) return null;
  // What is done goes below, so that what is next stays in sight.
  const left = steps.value.filter((step) => placedAt(step) === null);
  const done = steps.value.filter((step) => placedAt(step) !== null);
  return (
    <>
      <ol class="orders">
        {[...left, ...done].map((step) => (
          <StepRow key={`${step.at} ${step.control}`} step={step} answer={answer} />
        ))}
      </ol>
      {answer.whilePlacing.map(voice.value.tell).map((sentence) => (
        <p key={sentence} class="hint">
          {sentence}
        </p>
      ))}
    </>
  );
}

function StepRow({ step, answer }: { step: Step; answer: BlockAnswer }) {
  const placed = placedAt(step);
  const isOn = isClockOn.value;
  // The answer above has said the order of the step that is next.
  const isSaid = step === (isOn ? stepNow.value : steps.value[0]);
  const order = orderWords(step);
  return (
    <li class={placed === null ? 'step' : 'step done'}>
      <button
        type="button"
        class="action act"
        data-row={step.at}
        aria-pressed={pickedId.value === step.at}
        onClick={() => pick(step.at)}
      >
        <Ring minutes={step.oilMinutes} isDone={placed !== null} />
        <span>
          {!isSaid && <strong>{order}</strong>}
          {placed === null ? (
            <When step={step} answer={answer} />
          ) : (
            <span>{say('spill-screen.in-place-at', { time: clockTime(placed) })}</span>
          )}
          {placed === null && kitWords(step)}
        </span>
      </button>
      {isOn && (
        <button
          type="button"
          class={placed === null ? 'big' : 'quiet'}
          aria-label={say(placed === null ? 'spill-screen.placed-order' : 'spill-screen.not-placed-order', { order })}
          onClick={() => togglePlaced(step)}
        >
          {placed === null ? (
            <>
              <SeenSign isClean />
              {say('spill-screen.placed')}
            </>
          ) : (
            say('spill-screen.take-back')
          )}
        </button>
      )}
    </li>
  );
}

/** When oil is there and when the crew can be: in minutes from now, or, while the clock runs, what is left and the time of day. */
function When({ step, answer }: { step: Step; answer: BlockAnswer }) {
  const isLate = answer.plan.controls.length === 0;
  const { marginMinutes } = answer;
  const { oilMinutes, crewMinutes } = step;
  if (oilMinutes === null) return null;
  if (!isClockOn.value) {
    const oil = soonest(oilMinutes);
    if (crewMinutes === null)
      return <span>{say(isLate ? 'spill-screen.oil-late' : 'spill-screen.oil-is-there', oil)}</span>;
    const both = { ...oil, crew: Math.ceil(crewMinutes) };
    return <span>{say(isLate ? 'spill-screen.oil-late-and-you' : 'answers.oil-and-crew', both)}</span>;
  }
  const timeAt = (minutes: number) => clockTime((block.value?.askedAt ?? 0) + minutes * MS_PER_MINUTE);
  const done = isLate && crewMinutes !== null ? { by: timeAt(crewMinutes) } : null;
  if (isPast(oilMinutes)) {
    return <span>{done ? say('spill-screen.oil-can-be-there-late', done) : say('spill-screen.oil-can-be-there')}</span>;
  }
  const oil = { left: timerWords(minutesLeft(oilMinutes)), time: timeAt(oilMinutes) };
  const as = { deadline: isPressing(oilMinutes) ? Pressing : Deadline };
  if (!isLate) {
    const by = timeAt(oilMinutes - marginMinutes);
    return <Rich of={['spill-screen.oil-in', { ...oil, by }]} as={as} />;
  }
  if (done) return <Rich of={['spill-screen.oil-in-late', { ...oil, ...done }]} as={as} />;
  return <Rich of={['spill-screen.oil-in-only', oil]} as={as} />;
}

const Deadline = ({ children }: { children?: ComponentChildren }) => <span class="deadline">{children}</span>;
const Pressing = ({ children }: { children?: ComponentChildren }) => <span class="deadline pressing">{children}</span>;

const MINUTES_UNDER = 120;

/** Minutes as the messages take them, rounded down, so that nobody counts on time that there is not. */
function soonest(minutes: number): { when: 'now' | 'soon' | 'minutes' | 'hours'; amount: number } {
  if (minutes < 1) return { when: minutes <= 0 ? 'now' : 'soon', amount: 0 };
  return minutes < MINUTES_UNDER
    ? { when: 'minutes', amount: Math.floor(minutes) }
    : { when: 'hours', amount: Math.floor(minutes / 60) };
}

/** "Take the cover from KIT-1, Fuel island kit." */
function kitWords({ kit, control }: Step) {
  if (kit === null) return null;
  const name = yard.value?.map.others.find(({ id }) => id === kit)?.properties;
  const words = name && 'name' in name && name.name ? `${kit}, ${name.name}` : nameOf(kit);
  return <span>{say('spill-screen.take-from', { control: told(`things.the-${control}`), kit: words })}</span>;
}

/** The ring on the map with the same minutes in it. */
function Ring({ minutes, isDone }: { minutes: number | null; isDone: boolean }) {
  const words = ringWords(minutes);
  return (
    <svg
      class={isPressing(minutes) && !isDone ? 'sign ring pressing' : 'sign ring'}
      viewBox="-22 -22 44 44"
      aria-hidden="true"
    >
      <circle r="18" />
      {isDone ? (
        <path class="seen-tick" d="M-8 0L-2.5 6L8 -7" />
      ) : (
        <text y="6" text-anchor="middle" class={words.length > 2 ? 'long' : undefined}>
          {words}
        </text>
      )}
    </svg>
  );
}
