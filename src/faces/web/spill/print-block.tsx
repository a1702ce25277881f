import { shortMinutes, takesMinutes } from '../../../words/index.ts';
import { type Step, steps } from '../state/clock.ts';
import { block } from '../state/picked.ts';
import { clockTime } from '../state/site-time.ts';
import { isClockOn } from '../state/spill.ts';
import { say, voice } from '../state/voice.ts';
import { nameOf } from '../state/yard.ts';
import { orderWords } from './order-words.ts';
import { tellingOf } from './plan-ahead.tsx';

/** So many rows in all keep the page one. */
const ROWS = 5;
const FEWEST_SINGLES = 1;
const MS_PER_MINUTE = 60_000;

/** What to do about a spill, first. */
export function BlockWords() {
  const shown = block.value;
  if (!shown?.answer) return null;
  const { first, now, whilePlacing, backingUp, kept, costs } = tellingOf(shown.answer);
  return (
    <header>
      <p>
        <strong>{first.join(' ')}</strong>
      </p>
      {shown.zone !== '' && <p>{say('spill-screen.spill-on', { zone: nameOf(shown.zone) })}</p>}
      <h2>{now.join(' ')}</h2>
      {[...whilePlacing, ...backingUp].map((sentence) => (
        <p key={sentence}>{sentence}</p>
      ))}
      <p>{[...kept, costs].join(' ')}</p>
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
              <th>{say('page-prints.keeps')}</th>
              <th>{say('page-prints.oil-gets-to')}</th>
            </tr>
          </thead>
          <tbody>
            {singles.map((single) => (
              <tr key={`${single.at} ${single.control}`}>
                <td>{say(`things.control-${single.control}`)}</td>
                <td>{nameOf(single.at)}</td>
                <td>{voice.value.text({ litres: single.keepsLitres })}</td>
                <td>{single.waters.join(', ') || say('page-prints.no-outfall')}</td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
      <p>{[...tellingOf(answer).always, say('page-prints.costs-guessed')].join(' ')}</p>
    </>
  );
}

/** Each step with its kit and its times: in minutes, or, while the clock runs, by the yard's clock. */
function StepTable({ askedAt }: { askedAt: number }) {
  const when = (minutes: number | null, words: (minutes: number) => string) => {
    if (minutes === null) return '–';
    return isClockOn.value ? clockTime(askedAt + minutes * MS_PER_MINUTE) : words(minutes);
  };
  const done = ({ crewMinutes }: Step) => when(crewMinutes, (minutes) => takesMinutes(minutes, voice.value));
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
