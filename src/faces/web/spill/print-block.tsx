import { doNothingSentence, planSentences, shortMinutes, takesMinutes } from '../../../words/index.ts';
import { placedAt, type Step, steps } from '../state/clock.ts';
import { block } from '../state/picked.ts';
import { clockTime } from '../state/site-time.ts';
import { isClockOn } from '../state/spill.ts';
import { say, voice } from '../state/voice.ts';
import { nameOf, yard } from '../state/yard.ts';
import { orderWords } from './order-words.ts';
import { spokenPlan } from './where-to-block.tsx';

/** So many rows in all keep the page one. */
const ROWS = 7;
const FEWEST_SINGLES = 3;
const MS_PER_MINUTE = 60_000;

/** What to do about a spill, first. */
export function BlockWords() {
  const shown = block.value;
  if (!shown?.answer) return null;
  const { answer, zone } = shown;
  return (
    <header>
      <p>
        <strong>{yard.value && voice.value.tell(yard.value.firstWords)}</strong>
      </p>
      <h2>{spokenPlan(answer, nameOf(zone))}</h2>
      {[...answer.advice, ...answer.whilePlacing].map(voice.value.tell).map((sentence) => (
        <p key={sentence}>{sentence}</p>
      ))}
      <p>
        {[...planSentences(answer, (id) => id, voice.value).slice(1), doNothingSentence(answer, voice.value)].join(' ')}
      </p>
    </header>
  );
}

/** The steps to take, in order, and what one control alone would do. */
export function BlockTables() {
  const answer = block.value?.answer;
  if (!answer) return null;
  const singles = answer.singles.slice(0, Math.max(FEWEST_SINGLES, ROWS - steps.value.length));
  return (
    <>
      {steps.value.length > 0 && <StepTable askedAt={block.value?.askedAt ?? 0} />}
      {singles.length > 0 && (
        <table>
          <thead>
            <tr>
              <th>{say('page-prints.one-control')}</th>
              <th>{say('page-prints.at')}</th>
              <th>{say('page-prints.total')}</th>
              <th>{say('page-prints.oil-gets-to')}</th>
              <th>{say('page-prints.in-time')}</th>
            </tr>
          </thead>
          <tbody>
            {singles.map((single) => (
              <tr key={`${single.at} ${single.control}`}>
                <td>{say(`things.control-${single.control}`)}</td>
                <td>{nameOf(single.at)}</td>
                <td>{voice.value.text({ money: single.totalCost })}</td>
                <td>{single.waters.join(', ') || say('page-prints.no-outfall')}</td>
                <td>{say(single.inTime ? 'page-prints.yes' : 'page-prints.too-late')}</td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      <p>{[...(yard.value?.cautions ?? []).map(voice.value.tell), say('page-prints.costs-guessed')].join(' ')}</p>
    </>
  );
}

/** Each step with its kit and its times: in minutes, or, while the clock runs, by the yard's clock. */
function StepTable({ askedAt }: { askedAt: number }) {
  const when = (minutes: number | null, words: (minutes: number) => string) => {
    if (minutes === null) return '–';
    return isClockOn.value ? clockTime(askedAt + minutes * MS_PER_MINUTE) : words(minutes);
  };
  const done = (step: Step) => {
    const placed = placedAt(step);
    return placed === null
      ? when(step.crewMinutes, (minutes) => takesMinutes(minutes, voice.value))
      : say('page-prints.in-place-at', { time: clockTime(placed) });
  };
  return (
    <table class="paper-steps">
      <thead>
        <tr>
          <th>{say('page-prints.do-in-order')}</th>
          <th>{say('page-prints.take-from')}</th>
          <th>{say('page-prints.oil-is-there')}</th>
          <th>{say('page-prints.you-done')}</th>
        </tr>
      </thead>
      <tbody>
        {steps.value.map((step, number) => (
          <tr key={`${step.at} ${step.control}`}>
            <td>
              <strong>{say('page-prints.step', { number: String(number + 1), order: orderWords(step) })}</strong>
            </td>
            <td>{step.kit === null ? '–' : nameOf(step.kit)}</td>
            <td>{when(step.oilMinutes, (minutes) => shortMinutes(minutes, voice.value))}</td>
            <td>{done(step)}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}
