import type { BlockAnswer } from '../../../block/index.ts';
import { reportable } from '../../../spill/index.ts';
import { Choices } from '../parts/choices.tsx';
import { running, sayReached, sayReference } from '../state/clock.ts';
import { say, voice } from '../state/voice.ts';
import { yard } from '../state/yard.ts';

const FACTS = ['reachedWaterOrPublicDrain', 'madeSheen', 'onBareGround'] as const;

/** Whether it has to be reported, asked as the questions that decide it. */
export function Reportable({ answer }: { answer: BlockAnswer }) {
  if (!yard.value || !running.value) return null;
  const { reached, reference } = running.value;
  const { isReportable, questions } = reportable(yard.value.map, { ...reached, litres: answer.spill.litres });
  return (
    <section aria-labelledby="reportable">
      <h2 id="reportable">{say('spill-screen.reportable')}</h2>
      <p role="status">
        {say(
          isReportable === null
            ? 'spill-screen.report-not-known'
            : isReportable
              ? 'spill-screen.report-it'
              : 'spill-screen.report-not',
        )}
      </p>
      {FACTS.map((fact, at) => (
        <Choices
          key={fact}
          legend={voice.value.tell(questions[at].asks)}
          options={[
            { value: 1, words: say('spill-screen.yes') },
            { value: 0, words: say('spill-screen.no') },
          ]}
          value={reached[fact] === undefined ? null : Number(reached[fact])}
          onChoose={(value) => sayReached({ [fact]: value === 1 })}
        />
      ))}
      {isReportable && (
        <label>
          {say('spill-screen.report-number')}
          <input value={reference} onInput={({ currentTarget }) => sayReference(currentTarget.value)} />
        </label>
      )}
    </section>
  );
}
