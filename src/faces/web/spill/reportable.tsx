import { signal } from '@preact/signals';
import type { PlanAnswer } from '../../../block/index.ts';
import { type ReportFacts, reportable } from '../../../spill/index.ts';
import { Choices } from '../parts/choices.tsx';
import { say, voice } from '../state/voice.ts';
import { yard } from '../state/yard.ts';

/** What somebody has said of how far it got. */
const said = signal<ReportFacts>({});

const FACTS = ['reachedWaterOrPublicDrain', 'madeSheen', 'onBareGround'] as const;

/** Whether it has to be reported, asked as the questions that decide it. */
export function Reportable({ answer }: { answer: PlanAnswer }) {
  if (!yard.value) return null;
  const { isReportable, questions } = reportable(yard.value.map, { ...said.value, litres: answer.spill.litres });
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
          value={said.value[fact] === undefined ? null : Number(said.value[fact])}
          onChoose={(value) => {
            said.value = { ...said.value, [fact]: value === 1 };
          }}
        />
      ))}
    </section>
  );
}
