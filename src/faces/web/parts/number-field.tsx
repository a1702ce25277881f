import { useEffect, useId, useRef, useState } from 'preact/hooks';
import { say } from '../state/voice.ts';

/** More than anything on a yard is, in any unit: a slip of the finger. */
const MOST = 1e7;

/**
 * A number in the unit that the screen shows, handed on in the unit of the files (`perUnit` of it to one). What is no
 * number, or out of range, stays in the field, marked, with the range beside it, and is not handed on, or as NaN where
 * `isStrict`. Typing is overwritten only by a number that came from elsewhere, or when the unit is another one.
 */
export function NumberField({
  label,
  value,
  perUnit = 1,
  isOptional = false,
  isPositive = false,
  isStrict = false,
  most = MOST,
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
  /** The largest number that is taken, in the unit of the screen; it is told, and held to, with three digits. */
  most?: number;
  onNumber: (value: number | undefined) => void;
}) {
  const hintId = useId();
  const bound = roundDown(most);
  const [text, setText] = useState(writtenNumber(value, perUnit));
  /** Letters and signs that the browser does not hand out as text. */
  const [isUnread, setUnread] = useState(false);
  const before = useRef({ value, perUnit });
  const handed = useRef(value);
  useEffect(() => {
    const isOwn = Object.is(value, before.current.value) || Object.is(value, handed.current);
    const isSameUnit = perUnit === before.current.perUnit;
    before.current = { value, perUnit };
    if (isOwn && isSameUnit) return;
    handed.current = value;
    setText(writtenNumber(value, perUnit));
    setUnread(false);
  }, [value, perUnit]);
  const hand = (number: number | undefined) => {
    handed.current = number;
    onNumber(number);
  };
  const isGood = (typed: string, unread: boolean) => {
    if (unread) return false;
    if (typed.trim() === '') return isOptional;
    const number = amountIn(typed);
    return number !== null && number <= bound && !(isPositive && number === 0);
  };
  const take = (typed: string, unread: boolean) => {
    setText(typed);
    setUnread(unread);
    if (!isGood(typed, unread)) {
      if (isStrict) hand(Number.NaN);
      return;
    }
    const number = amountIn(typed);
    hand(number === null ? undefined : number * perUnit);
  };
  useEffect(() => {
    // A wrong number of before a reload is not in the field any more: what is seen is what counts.
    if (isOptional && Number.isNaN(value)) hand(undefined);
  }, []);
  const isWrong = !isGood(text, isUnread);
  return (
    <label>
      {label}
      <input
        type="number"
        min="0"
        max={bound}
        step="any"
        inputMode="decimal"
        aria-invalid={isWrong}
        aria-describedby={isWrong ? hintId : undefined}
        value={text}
        onInput={({ currentTarget }) => take(currentTarget.value, currentTarget.validity.badInput)}
      />
      {isWrong && (
        <span class="hint" id={hintId}>
          {say(
            isStrict ? (isOptional ? 'parts.number-hint-optional' : 'parts.number-hint-strict') : 'parts.number-hint',
            {
              rule: isPositive ? 'above' : 'from',
              most: { number: bound, digits: Number.isInteger(bound) ? 0 : 2 },
            },
          )}
        </span>
      )}
    </label>
  );
}

/** Brings the first number of a form that is marked into sight, to be mended. */
export function focusFirstInvalid(form: HTMLElement): void {
  form.querySelector<HTMLInputElement>('[aria-invalid="true"]')?.focus();
}

/** The number in what was typed; null where there is none, or one below 0. */
export function amountIn(typed: string): number | null {
  const amount = typed.trim() === '' ? Number.NaN : Number(typed);
  return Number.isFinite(amount) && amount >= 0 ? amount : null;
}

/** At most three digits, so that a bound that was worked out can be told. */
function roundDown(value: number): number {
  const step = 10 ** (Math.floor(Math.log10(value)) - 2);
  return Number((Math.floor(value / step + 1e-9) * step).toPrecision(3));
}

const writtenNumber = (value: number | undefined, perUnit: number) =>
  value === undefined || Number.isNaN(value) ? '' : plainNumber(value / perUnit);

/** A number as it is typed: no thousands separators, no needless decimals. */
const plainNumber = (value: number) => String(Number(value.toFixed(value < 1 ? 3 : 2)));
