import type { BlockAnswer } from '../../../block/index.ts';
import { formatMoney } from '../../../units/index.ts';
import { doNothingSentence, planSentences } from '../../words/block.ts';
import { currency } from '../state/yard.ts';

/** What the plan costs beside what doing nothing costs, as two bars on one scale and in words. */
export function Costs({ answer }: { answer: BlockAnswer }) {
  const money = (amount: number) => formatMoney(amount, currency.value);
  const { plan, doNothingCost } = answer;
  const most = Math.max(plan.totalCost, doNothingCost, 1);
  return (
    <section class="costs">
      <h2>What it costs</h2>
      <dl>
        <CostBar name="This plan" words={money(plan.totalCost)} part={plan.totalCost / most} />
        <CostBar name="Doing nothing" words={money(doNothingCost)} part={doNothingCost / most} />
      </dl>
      <p>{[...planSentences(answer, money).slice(1), doNothingSentence(answer, money)].join(' ')}</p>
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
