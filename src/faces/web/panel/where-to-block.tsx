import type { BlockAnswer } from '../../../block/index.ts';
import { formatMoney } from '../../../units/index.ts';
import { controlOrder, planSentences } from '../../words/block.ts';
import { block, pick, pickedId } from '../state/picked.ts';
import { currency, nameOf, yard } from '../state/yard.ts';
import { Costs } from './costs.tsx';
import { ActSign } from './signs.tsx';
import { Singles } from './singles.tsx';
import { SpillForm } from './spill-form.tsx';

const money = (amount: number) => formatMoney(amount, currency.value);

/** Where to block? What to do, where the spill is, what it costs, each control alone, and what to take care of. */
export function WhereToBlock() {
  const shown = block.value;
  const answer = shown?.answer;
  return (
    <>
      <p class="first-words">{yard.value?.firstWords}</p>
      <p class="answer" aria-live="polite">
        {answer && shown ? spokenPlan(answer, nameOf(shown.zone)) : 'Working it out …'}
      </p>
      {answer && answer.advice.length > 0 && (
        <div class="advice">
          {answer.advice.map((each) => (
            <p key={each}>{each}</p>
          ))}
        </div>
      )}
      {answer && <Orders answer={answer} />}
      <SpillForm />
      {answer && <Costs answer={answer} />}
      {answer && <Singles answer={answer} />}
      <Care />
    </>
  );
}

/** The plan in one sentence that names the zone: "A spill on the fuel island: cover CB-4." */
export function spokenPlan(answer: BlockAnswer, zoneName: string): string {
  const [order] = planSentences(answer, money);
  const isOrder = answer.plan.controls.length > 0;
  return `A spill on ${zoneName}: ${isOrder ? order.charAt(0).toLowerCase() + order.slice(1) : order}`;
}

function Orders({ answer: { plan, whilePlacing } }: { answer: BlockAnswer }) {
  if (plan.controls.length === 0) return null;
  return (
    <ul class="orders">
      {plan.controls.map((each) => (
        <li key={`${each.at} ${each.control}`}>
          <button
            type="button"
            class="action act"
            data-row={each.at}
            aria-pressed={pickedId.value === each.at}
            onClick={() => pick(each.at)}
          >
            <ActSign />
            <span>
              <strong>Act here</strong>
              <span>
                {each.control === 'berm' ? `Berm the spill on ${nameOf(each.at)}` : controlOrder(each)}
                {`: ${money(each.cost)}.`}
              </span>
            </span>
          </button>
        </li>
      ))}
      {whilePlacing.map((sentence) => (
        <li key={sentence} class="hint">
          {sentence}
        </li>
      ))}
    </ul>
  );
}

function Care() {
  return (
    <section>
      <h2>Take care</h2>
      <ul class="plain-list care">
        {yard.value?.cautions.map((caution) => (
          <li key={caution}>{caution}</li>
        ))}
      </ul>
      <h2>What is assumed</h2>
      <ul class="plain-list">
        <li>Time is not counted yet: every control is taken to be in place before the oil.</li>
        <li>Costs the map does not state are guesses, within a factor of 3.</li>
      </ul>
    </section>
  );
}
