import type { BlockAnswer } from '../../../block/index.ts';
import { SeenSign } from '../../../drawing/index.ts';
import { saidMinutes, takesMinutes } from '../../../words/index.ts';
import { isPast, isPressing, ringWords, timerWords } from '../parts/countdown.ts';
import { minutesLeft, placedAt, type Step, stepNow, steps, togglePlaced } from '../state/clock.ts';
import { block, pick, pickedId } from '../state/picked.ts';
import { clockTime } from '../state/site-time.ts';
import { isClockOn } from '../state/spill.ts';
import { voice } from '../state/voice.ts';
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
      {answer.whilePlacing.map((sentence) => (
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
          {placed === null ? <When step={step} answer={answer} /> : <span>{`In place at ${clockTime(placed)}.`}</span>}
          {placed === null && kitWords(step)}
        </span>
      </button>
      {isOn && (
        <button
          type="button"
          class={placed === null ? 'big' : 'quiet'}
          aria-label={placed === null ? `Placed: ${order}` : `Not placed after all: ${order}`}
          onClick={() => togglePlaced(step)}
        >
          {placed === null ? (
            <>
              <SeenSign isClean />
              Placed
            </>
          ) : (
            'Take back'
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
    const you = isLate ? 'you in' : 'you can be done in';
    const crew = crewMinutes === null ? '' : `; ${you} ${takesMinutes(crewMinutes, voice.value)}`;
    const held = isLate ? ' What comes after that is held.' : '';
    return (
      <span>{`Oil ${isLate ? 'can be' : 'is'} there ${saidMinutes(oilMinutes, voice.value)}${crew}.${held}`}</span>
    );
  }
  const timeAt = (minutes: number) => clockTime((block.value?.askedAt ?? 0) + minutes * MS_PER_MINUTE);
  const last = isLate
    ? crewMinutes !== null && `You can be done by ${timeAt(crewMinutes)}.`
    : `Have it in place by ${timeAt(oilMinutes - marginMinutes)}.`;
  if (isPast(oilMinutes))
    return <span>{`Oil can be there. What comes later is held. ${isLate && last ? last : ''}`}</span>;
  return (
    <span>
      <span class={isPressing(oilMinutes) ? 'deadline pressing' : 'deadline'}>
        {`Oil in ${timerWords(minutesLeft(oilMinutes))}, at ${timeAt(oilMinutes)}.`}
      </span>{' '}
      {last}
    </span>
  );
}

/** "Take the cover from KIT-1, Fuel island kit." */
function kitWords({ kit, control }: Step) {
  if (kit === null) return null;
  const name = yard.value?.map.others.find(({ id }) => id === kit)?.properties;
  const words = name && 'name' in name && name.name ? `${kit}, ${name.name}` : nameOf(kit);
  return <span>{`Take the ${control} from ${words}.`}</span>;
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
