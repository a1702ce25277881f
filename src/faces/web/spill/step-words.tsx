import { STRUCTURE_CONTROLS } from '../../../site-map/index.ts';
import type { StepTelling } from '../../../words/index.ts';
import { isPast, isPressing, ringWords, timerWords } from '../parts/countdown.ts';
import { minutesLeft, type Step } from '../state/clock.ts';
import { block, pick, pickedId } from '../state/picked.ts';
import { clockTime } from '../state/site-time.ts';
import { isClockOn } from '../state/spill.ts';
import { say } from '../state/voice.ts';

const MS_PER_MINUTE = 60_000;

/** One step of a plan with the words for it. */
export interface ToldStep {
  step: Step;
  words: StepTelling;
}

/** One step of a plan that is looked at ahead: who does what, when, and what it is worth. */
export function StepRow({ told: { step, words } }: { told: ToldStep }) {
  return (
    <li class="step">
      <button
        type="button"
        class="action act"
        data-row={step.at}
        aria-pressed={pickedId.value === step.at}
        onClick={() => pick(step.at)}
      >
        <Ring minutes={step.oilMinutes} />
        <span>
          <strong>{words.sentence}</strong>
          <Times told={{ step, words }} />
          <span>{words.keeps}</span>
        </span>
      </button>
    </li>
  );
}

/** When oil is there and when it is in place: in minutes, or, while a clock runs, what is left and the time of day. */
export function Times({ told: { step, words } }: { told: ToldStep }) {
  const { oilMinutes, crewMinutes } = step;
  if (!isClockOn.value || crewMinutes === null) return words.when === null ? null : <span>{words.when}</span>;
  const time = clockTime((block.value?.askedAt ?? 0) + crewMinutes * MS_PER_MINUTE);
  if (oilMinutes === null || !isRace(step)) return <span>{say('spill-screen.in-place-by', { time })}</span>;
  return (
    <span class={isPressing(oilMinutes) ? 'deadline pressing' : 'deadline'}>
      {isPast(oilMinutes)
        ? say('spill-screen.oil-can-be-there', { time })
        : say('spill-screen.oil-in', { left: timerWords(minutesLeft(oilMinutes)), time })}
    </span>
  );
}

/** Whether oil comes to where it is placed: not where it starts, and not at a device. */
const isRace = ({ control }: Step) => STRUCTURE_CONTROLS.some((each) => each === control);

/** The ring on the map with the same minutes in it; a tick where it is in place. */
export function Ring({ minutes, isDone = false }: { minutes: number | null; isDone?: boolean }) {
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
