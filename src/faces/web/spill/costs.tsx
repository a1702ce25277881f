import type { BlockAnswer } from '../../../block/index.ts';
import type { PlanTelling } from '../../../words/index.ts';
import { say } from '../state/voice.ts';

/** What the plan costs beside what doing nothing costs, as two bars on one scale and in words; the range on request. */
export function Costs({ answer: { plan, doNothingCost }, telling }: { answer: BlockAnswer; telling: PlanTelling }) {
  const most = Math.max(plan.totalCost, doNothingCost, 1);
  return (
    <section class="costs">
      <h2>{say('spill-screen.what-it-costs')}</h2>
      <dl>
        <CostBar name={say('spill-screen.this-plan')} part={plan.totalCost / most} />
        <CostBar name={say('spill-screen.doing-nothing')} part={doNothingCost / most} />
      </dl>
      <p>{telling.costs}</p>
      <details class="fold">
        <summary>{say('spill-screen.cost-range')}</summary>
        <p>{telling.costRange}</p>
      </details>
    </section>
  );
}

function CostBar({ name, part }: { name: string; part: number }) {
  return (
    <>
      <dt>{name}</dt>
      <dd>
        <svg class="cost-bar" aria-hidden="true">
          <rect x="0" y="3" width={`${Math.max(part * 100, 0.8).toFixed(1)}%`} height="12" rx="2" />
        </svg>
      </dd>
    </>
  );
}
