import type { BlockAnswer } from '../../../block/index.ts';
import { doNothingSentence, planSentences } from '../../../words/index.ts';
import { say, voice } from '../state/voice.ts';

/** What the plan costs and leaves; what to do and when has been said above. */
const planCosts = (answer: BlockAnswer) =>
  answer.plan.controls.length === 0
    ? []
    : planSentences({ ...answer, isTimed: false }, (id) => id, voice.value).slice(1);

/** What the plan costs beside what doing nothing costs, as two bars on one scale and in words. */
export function Costs({ answer }: { answer: BlockAnswer }) {
  const money = (amount: number) => voice.value.text({ money: amount });
  const { plan, doNothingCost, evenLate } = answer;
  const late = plan.controls.length === 0 ? evenLate : null;
  const shown = late ?? plan;
  const most = Math.max(shown.totalCost, doNothingCost, 1);
  return (
    <section class="costs">
      <h2>{say('spill-screen.what-it-costs')}</h2>
      <dl>
        <CostBar
          name={say(late ? 'spill-screen.if-still-holds' : 'spill-screen.this-plan')}
          words={money(shown.totalCost)}
          part={shown.totalCost / most}
        />
        <CostBar name={say('spill-screen.doing-nothing')} words={money(doNothingCost)} part={doNothingCost / most} />
      </dl>
      <p>{[...planCosts(answer), doNothingSentence(answer, voice.value)].join(' ')}</p>
    </section>
  );
}

function CostBar({ name, words, part }: { name: string; words: string; part: number }) {
  return (
    <>
      <dt>{name}</dt>
      <dd>
        <svg class="cost-bar" aria-hidden="true">
          <rect x="0" y="3" width={`${Math.max(part * 100, 0.8).toFixed(1)}%`} height="12" rx="2" />
        </svg>
        <span class="cost-words">{words}</span>
      </dd>
    </>
  );
}
