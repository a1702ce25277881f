import { useState } from 'preact/hooks';
import { MeasureSign } from '../../../drawing/index.ts';
import type { MeasureEffect, Range } from '../../../measures/index.ts';
import { formatMoney, formatVolume } from '../../../units/index.ts';
import { measureName, measuresAssumptions, measuresSentences, perLitreWords } from '../../../words/index.ts';
import type { Replies } from '../compute/protocol.ts';
import { NumberField } from '../parts/number-field.tsx';
import { usePickedInSight } from '../parts/picked-in-sight.ts';
import { ProblemList } from '../parts/problem-list.tsx';
import { pick, pickedId } from '../state/picked.ts';
import { budget, frontier, isBudgeting, measures } from '../state/plan.ts';
import { voice } from '../state/voice.ts';
import { currency, nameOf, units } from '../state/yard.ts';
import { budgetAt, placeOfBudget } from './budget-scale.ts';
import { Curve, type CurvePoint, CurveProgress } from './curve.tsx';

const money = (amount: number) => formatMoney(amount, currency.value);
const volume = (litres: number) => formatVolume(litres, units.value);

type Shown = Replies['measures'];

/** What keeps oil out for the money: the answer, the budget, what to do in order, and what that does. */
export function MeasuresPart() {
  const shown = measures.value;
  const [first, ...rest] = spokenMeasures(shown);
  return (
    <>
      <p class="answer" aria-live="polite" aria-busy={isBudgeting.value}>
        {first}
      </p>
      {rest.length > 0 && <p class="plan-more">{rest.join(' ')}</p>}
      {shown && shown.problems.length > 0 && <ProblemList problems={shown.problems} isOnMap={() => false} />}
      {shown && shown.total > 0 && <Budget shown={shown} />}
      {shown?.answer && <MeasureList chosen={shown.answer.chosen} />}
      {shown?.answer && <Ends ends={shown.answer.ends} />}
      {shown?.answer && <MoneyCurve total={shown.total} answer={shown.answer} />}
      {shown && (
        <section>
          <h2>What is assumed</h2>
          <ul class="plain-list">
            {measuresAssumptions(voice.value).map((sentence) => (
              <li key={sentence}>{sentence}</li>
            ))}
          </ul>
        </section>
      )}
    </>
  );
}

/** The answer in sentences, for the screen and the page alike. */
export function spokenMeasures(shown: Shown | null): string[] {
  if (!shown) return [isBudgeting.value ? 'Working it out …' : 'This could not be worked out.'];
  if (!shown.answer) return ['No plan could be worked out.'];
  if (shown.total === 0) return ['No measure of the table suits this map.'];
  return measuresSentences(shown.answer, shown.budget, voice.value);
}

function Budget({ shown: { budget: answered, total } }: { shown: Shown }) {
  /** What was typed last: the field is not written over by its own answer. */
  const [typed, setTyped] = useState<number | null>(null);
  const now = budget.value ?? answered;
  const set = (amount: number) => {
    budget.value = amount;
  };
  return (
    <div class="plan-form amount">
      <label>
        Money for it
        <input
          type="range"
          min="0"
          max="100"
          step="1"
          value={placeOfBudget(now, total)}
          aria-valuetext={money(now)}
          onInput={({ currentTarget }) => set(budgetAt(Number(currentTarget.value), total))}
        />
      </label>
      <NumberField
        key={typed === now ? 'typed' : now}
        label={`First year, ${currency.value}`}
        value={now}
        onNumber={(amount) => {
          if (amount === undefined) return;
          setTyped(amount);
          set(amount);
        }}
      />
    </div>
  );
}

const SHOWN_FIRST = 8;

function MeasureList({ chosen }: { chosen: readonly MeasureEffect[] }) {
  const [isWhole, setWhole] = useState(false);
  if (chosen.length === 0) return null;
  // What is picked shows, wherever in the list it is.
  const isAll = isWhole || chosen.findIndex(({ at }) => at === pickedId.value) >= SHOWN_FIRST;
  return (
    <section aria-labelledby="measure-list">
      <h2 id="measure-list">What to do, most oil first</h2>
      <ol class="kit-list">
        {chosen.slice(0, isAll ? undefined : SHOWN_FIRST).map((effect, at) => (
          <MeasureRow key={`${effect.measure} ${effect.at}`} effect={effect} number={at + 1} />
        ))}
      </ol>
      {chosen.length > SHOWN_FIRST && (
        <button type="button" class="more" aria-expanded={isAll} onClick={() => setWhole(!isAll)}>
          {isAll ? `Show the first ${SHOWN_FIRST}` : `Show all ${chosen.length}`}
        </button>
      )}
    </section>
  );
}

function MeasureRow({ effect, number }: { effect: MeasureEffect; number: number }) {
  const { measure, at, cost } = effect;
  const isPicked = pickedId.value === at;
  const row = usePickedInSight<HTMLLIElement>(isPicked);
  return (
    <li ref={row}>
      <button type="button" class="plan-row" data-row={at} aria-pressed={isPicked} onClick={() => pick(at)}>
        <MeasureSign number={number} />
        <span>{`${measureName(measure, voice.value)}: ${nameOf(at)}`}</span>
        <strong>{money(cost)}</strong>
        <span class="lets-through">{keepsOutWords(effect)}</span>
      </button>
    </li>
  );
}

/** "keeps out 3.2 gal a year, at USD 61 a gallon". */
function keepsOutWords(effect: MeasureEffect): string {
  const unit = units.value === 'us' ? 'a gallon' : 'a litre';
  return `keeps out ${volume(effect.litresPerYear)} a year, at ${perLitreWords(effect, voice.value)} ${unit}`;
}

/** Oil a year at each end, now and then. */
function Ends({ ends }: { ends: NonNullable<Shown['answer']>['ends'] }) {
  if (ends.length === 0) return null;
  return (
    <section>
      <h2>Oil a year, with the range it is likely in</h2>
      <table class="ends">
        <thead>
          <tr>
            <th scope="col">To</th>
            <th scope="col">Now</th>
            <th scope="col">Then</th>
          </tr>
        </thead>
        <tbody>
          {ends.map(({ id, before, after }) => (
            <tr key={id}>
              <th scope="row">{nameOf(id)}</th>
              <EndCell range={before} />
              <EndCell range={after} />
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}

/** "0.63 to 6 gal": the unit once where it is one. */
function lowToHigh({ low, high }: Range): string {
  const [from, to] = [volume(low), volume(high)];
  const unit = to.slice(to.indexOf(' '));
  return `${from.endsWith(unit) ? from.slice(0, -unit.length) : from} to ${to}`;
}

function EndCell({ range }: { range: Range }) {
  return (
    <td>
      {volume(range.litresPerYear)}
      <span class="soft">{lowToHigh(range)}</span>
    </td>
  );
}

function MoneyCurve({ total, answer }: { total: number; answer: NonNullable<Shown['answer']> }) {
  const soFar = frontier.value;
  const points = soFar?.points ?? [];
  const most = Math.max(answer.litresPerYear, ...points.map(({ litresPerYear }) => litresPerYear));
  const pointOf = ({ cost, litresPerYear }: { cost: number; litresPerYear: number }): CurvePoint => ({
    across: placeOfBudget(cost, total) / 100,
    up: most > 0 ? litresPerYear / most : 0,
  });
  const isDone = soFar?.part === 1;
  const last = points.at(-1);
  const now = { ...pointOf(answer), over: `${volume(answer.litresPerYear)} a year`, isNow: true };
  return (
    <section>
      <h2>What money can keep out</h2>
      {!isDone && <CurveProgress part={soFar?.part ?? 0} />}
      {isDone && last && points.length > 1 && (
        <>
          <Curve
            label={points
              .map(({ cost, litresPerYear }) => `${money(cost)}: ${volume(litresPerYear)} a year`)
              .join('; ')}
            points={points.map((point, at) => ({
              ...pointOf(point),
              ...(at === 0 || point === last ? { under: money(point.cost) } : {}),
              ...(point === last && now.across < 0.6 ? { over: volume(point.litresPerYear) } : {}),
            }))}
            now={now}
          />
          <p class="hint">
            {soFar.isWhole
              ? 'Every point is the best that its money buys.'
              : 'Each dot is the best that its money buys; between dots there are more.'}{' '}
            Small sums are drawn wider than large ones.
          </p>
        </>
      )}
    </section>
  );
}
