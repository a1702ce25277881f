import { useState } from 'preact/hooks';
import { MeasureSign } from '../../../drawing/index.ts';
import type { MeasureEffect, Range } from '../../../measures/index.ts';
import { measureName, measuresAssumptions, measuresSentences, perLitreWords } from '../../../words/index.ts';
import type { Replies } from '../compute/protocol.ts';
import { NumberField } from '../parts/number-field.tsx';
import { usePickedInSight } from '../parts/picked-in-sight.ts';
import { ProblemList } from '../parts/problem-list.tsx';
import { pick, pickedId } from '../state/picked.ts';
import { budget, frontier, isBudgeting, measures } from '../state/plan.ts';
import { say, voice } from '../state/voice.ts';
import { currency, nameOf, units } from '../state/yard.ts';
import { budgetAt, sliderOfBudget } from './budget-scale.ts';
import { Curve, type CurvePoint, CurveProgress } from './curve.tsx';

const money = (amount: number) => voice.value.text({ money: amount });
const volume = (litres: number) => voice.value.text({ litres });

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
          <h2>{say('app.what-is-assumed')}</h2>
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
  if (!shown) return [say(isBudgeting.value ? 'app.working' : 'kits-screen.not-worked-out')];
  if (!shown.answer) return [say('kits-screen.no-measures-plan')];
  if (shown.total === 0) return [say('kits-screen.no-measure')];
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
        {say('kits-screen.money')}
        <input
          type="range"
          min="0"
          max="100"
          step="1"
          value={sliderOfBudget(now, total)}
          aria-valuetext={money(now)}
          onInput={({ currentTarget }) => set(budgetAt(Number(currentTarget.value), total))}
        />
      </label>
      <NumberField
        key={typed === now ? 'typed' : now}
        label={say('kits-screen.first-year', { currency: currency.value })}
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
      <h2 id="measure-list">{say('kits-screen.what-to-do')}</h2>
      <ol class="kit-list">
        {chosen.slice(0, isAll ? undefined : SHOWN_FIRST).map((effect, at) => (
          <MeasureRow key={`${effect.measure} ${effect.at}`} effect={effect} number={at + 1} />
        ))}
      </ol>
      {chosen.length > SHOWN_FIRST && (
        <button type="button" class="more" aria-expanded={isAll} onClick={() => setWhole(!isAll)}>
          {isAll
            ? say('kits-screen.show-first', { count: SHOWN_FIRST })
            : say('kits-screen.show-all', { count: chosen.length })}
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
        <span>{say('kits-screen.measure', { measure: measureName(measure, voice.value), at: nameOf(at) })}</span>
        <strong>{money(cost)}</strong>
        <span class="lets-through">{keepsOutWords(effect)}</span>
      </button>
    </li>
  );
}

/** "keeps out 3.2 gal a year, at $61 a gallon". */
function keepsOutWords(effect: MeasureEffect): string {
  return say(units.value === 'us' ? 'kits-screen.keeps-out-gallon' : 'kits-screen.keeps-out-litre', {
    volume: { litres: effect.litresPerYear },
    money: perLitreWords(effect, voice.value),
  });
}

/** Oil a year at each end, now and then. */
function Ends({ ends }: { ends: NonNullable<Shown['answer']>['ends'] }) {
  if (ends.length === 0) return null;
  return (
    <section>
      <h2>{say('kits-screen.ends-title')}</h2>
      <table class="ends">
        <thead>
          <tr>
            <th scope="col">{say('kits-screen.end-to')}</th>
            <th scope="col">{say('kits-screen.end-now')}</th>
            <th scope="col">{say('kits-screen.end-then')}</th>
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

function EndCell({ range }: { range: Range }) {
  return (
    <td>
      {volume(range.litresPerYear)}
      <span class="soft">{say('kits-screen.range', { low: { litres: range.low }, high: { litres: range.high } })}</span>
    </td>
  );
}

function MoneyCurve({ total, answer }: { total: number; answer: NonNullable<Shown['answer']> }) {
  const soFar = frontier.value;
  const points = soFar?.points ?? [];
  const most = Math.max(answer.litresPerYear, ...points.map(({ litresPerYear }) => litresPerYear));
  const pointOf = ({ cost, litresPerYear }: { cost: number; litresPerYear: number }): CurvePoint => ({
    across: sliderOfBudget(cost, total) / 100,
    up: most > 0 ? litresPerYear / most : 0,
  });
  const isDone = soFar?.part === 1;
  const last = points.at(-1);
  const now = {
    ...pointOf(answer),
    over: say('kits-screen.a-year', { volume: { litres: answer.litresPerYear } }),
    isNow: true,
  };
  return (
    <section>
      <h2>{say('kits-screen.money-curve')}</h2>
      {!isDone && <CurveProgress part={soFar?.part ?? 0} />}
      {isDone && last && points.length > 1 && (
        <>
          <Curve
            label={points
              .map(({ cost, litresPerYear }) =>
                say('kits-screen.money-point', { money: { money: cost }, volume: { litres: litresPerYear } }),
              )
              .join('; ')}
            points={points.map((point, at) => ({
              ...pointOf(point),
              ...(at === 0 || point === last ? { under: money(point.cost) } : {}),
              ...(point === last && now.across < 0.6 ? { over: volume(point.litresPerYear) } : {}),
            }))}
            now={now}
          />
          <p class="hint">{say(soFar.isWhole ? 'kits-screen.curve-whole' : 'kits-screen.curve-dots')}</p>
        </>
      )}
    </section>
  );
}
