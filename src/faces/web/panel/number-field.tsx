import { useState } from 'preact/hooks';
import { formatNumber } from '../../../units/index.ts';

/**
 * A number in the unit that the screen shows, handed on in the unit of the files (`perUnit` of it to one). What is no
 * number stays in the field, marked, and is not handed on, or as NaN where `isStrict`. Typing is never overwritten: give it a new
 * `key` for that.
 */
export function NumberField({
  label,
  value,
  perUnit = 1,
  isOptional = false,
  isPositive = false,
  isStrict = false,
  most = Number.POSITIVE_INFINITY,
  onNumber,
}: {
  label: string;
  value: number | undefined;
  perUnit?: number;
  /** Whether it may be left empty. */
  isOptional?: boolean;
  /** Whether 0 is too little. */
  isPositive?: boolean;
  /** Whether a wrong number must not leave the one before standing. */
  isStrict?: boolean;
  most?: number;
  onNumber: (value: number | undefined) => void;
}) {
  const [text, setText] = useState(value === undefined || Number.isNaN(value) ? '' : plainNumber(value / perUnit));
  const isGood = (typed: string) => {
    if (typed.trim() === '') return isOptional;
    const number = amountIn(typed);
    return number !== null && number <= most && !(isPositive && number === 0);
  };
  const take = (typed: string) => {
    setText(typed);
    if (!isGood(typed)) {
      if (isStrict) onNumber(Number.NaN);
      return;
    }
    const number = amountIn(typed);
    onNumber(number === null ? undefined : number * perUnit);
  };
  return (
    <label>
      {label}
      <input
        type="number"
        min="0"
        max={Number.isFinite(most) ? most : undefined}
        step="any"
        inputMode="decimal"
        aria-invalid={!isGood(text)}
        value={text}
        onInput={({ currentTarget }) => take(currentTarget.value)}
      />
      {!isGood(text) && (
        <span class="hint">
          {isStrict
            ? `Write a number${Number.isFinite(most) ? ` up to ${formatNumber(most)}` : ''}.`
            : 'Write a number; until then the last answer stands.'}
        </span>
      )}
    </label>
  );
}

/** The number in what was typed; null where there is none, or one below 0. */
export function amountIn(typed: string): number | null {
  const amount = typed.trim() === '' ? Number.NaN : Number(typed);
  return Number.isFinite(amount) && amount >= 0 ? amount : null;
}

/** A number as it is typed: no thousands separators, no needless decimals. */
const plainNumber = (value: number) => String(Number(formatNumber(value, value < 1 ? 3 : 2).replaceAll(',', '')));
