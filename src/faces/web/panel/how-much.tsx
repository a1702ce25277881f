import { useState } from 'preact/hooks';
import { formatNumber, LITRES_PER_GALLON } from '../../../units/index.ts';
import type { FindingSource } from '../compute/protocol.ts';
import { changeFinding, litresOf } from '../state/finding.ts';
import { units, yard } from '../state/yard.ts';

const FIRST_AMOUNT = 5;

/** How much oil was held, in the site's units, or that it only looked oily. */
export function HowMuch({ finding }: { finding: FindingSource }) {
  const isUs = units.value === 'us';
  const perUnit = isUs ? LITRES_PER_GALLON : 1;
  const litres = litresOf(finding);
  const [text, setText] = useState(plainNumber(litres === null ? FIRST_AMOUNT : litres / perUnit));
  const measure = (typed: string) => {
    setText(typed);
    const amount = amountIn(typed);
    if (amount === null) return;
    const factor = finding.amount?.factor;
    changeFinding({
      seen: undefined,
      amount: { litres: amount * perUnit, ...(typeof factor === 'number' ? { factor } : {}) },
    });
  };
  const look = () => changeFinding({ seen: 'oil', amount: undefined });
  const holdsNothing = yard.value?.holds[finding.at] === 0;
  const isBad = litres !== null && amountIn(text) === null;
  return (
    <fieldset>
      <legend>How much</legend>
      <div class="how-much">
        {litres !== null && (
          <input
            type="number"
            min="0"
            step="any"
            inputMode="decimal"
            aria-label={isUs ? 'Gallons' : 'Litres'}
            aria-invalid={isBad}
            value={text}
            onInput={({ currentTarget }) => measure(currentTarget.value)}
          />
        )}
        <select
          aria-label="Measured or seen"
          value={litres === null ? 'look' : 'measured'}
          onChange={({ currentTarget }) => (currentTarget.value === 'look' ? look() : measure(text))}
        >
          <option value="measured" disabled={holdsNothing}>
            {isUs ? 'gal' : 'L'}
          </option>
          <option value="look">an oily look</option>
        </select>
      </div>
      {isBad && <p class="hint">Write a number; until then the last answer stands.</p>}
      {holdsNothing && <p class="hint">{`${finding.at} keeps no oil back, so only a look counts.`}</p>}
    </fieldset>
  );
}

/** The number in what was typed; null where there is none, or one below 0. */
export function amountIn(typed: string): number | null {
  const amount = typed.trim() === '' ? Number.NaN : Number(typed);
  return Number.isFinite(amount) && amount >= 0 ? amount : null;
}

/** A number as it is typed: no thousands separators, no needless decimals. */
const plainNumber = (value: number) => String(Number(formatNumber(value, 2).replaceAll(',', '')));
