import { useState } from 'preact/hooks';
import { formatVolume, LITRES_PER_GALLON } from '../../../units/index.ts';
import { Choices } from '../parts/choices.tsx';
import { withoutZeros } from '../parts/finding-words.ts';
import { NumberField } from '../parts/number-field.tsx';
import { chooseLitres, litres } from '../state/spill.ts';
import { units } from '../state/yard.ts';
import { amountAt, placeOf } from './slider.ts';

/** Guesses at what runs out of common things, in the unit of the screen. */
const COMMON = {
  si: [
    { words: 'A hose', amount: 20 },
    { words: 'A drum', amount: 205 },
    { words: 'A truck’s tank', amount: 400 },
  ],
  us: [
    { words: 'A hose', amount: 5 },
    { words: 'A drum', amount: 55 },
    { words: 'A truck’s tank', amount: 105 },
  ],
};

/** An amount this near to a button's, as a part of it, is that button's. */
const ABOUT = 0.03;
const MOST_LITRES = 100_000;

const unitLitres = () => (units.value === 'us' ? LITRES_PER_GALLON : 1);
const amountNow = () => litres.value / unitLitres();

/** How much was spilled, by what it ran out of. */
export function HowMuch() {
  const options = COMMON[units.value].map(({ words, amount }) => ({
    value: amount,
    words,
    more: `${amount} ${units.value === 'us' ? 'gal' : 'L'}`,
  }));
  const chosen = options.find(({ value }) => Math.abs(value - amountNow()) < ABOUT * value)?.value ?? null;
  return (
    <Choices
      legend="How much?"
      isBare
      isBig
      options={options}
      value={chosen}
      onChoose={(amount) => chooseLitres(amount * unitLitres())}
    />
  );
}

/** The same to a number: a slider whose steps grow with the amount, and a field. */
export function HowMuchExactly() {
  /** What was typed last: the field is not written over by its own answer. */
  const [typed, setTyped] = useState<number | null>(null);
  const unit = units.value === 'us' ? 'Gallons' : 'Litres';
  return (
    <div class="amount">
      <label>
        How much, roughly
        <input
          type="range"
          min="0"
          max="100"
          step="1"
          value={placeOf(amountNow())}
          aria-valuetext={withoutZeros(formatVolume(litres.value, units.value))}
          onInput={({ currentTarget }) => chooseLitres(amountAt(Number(currentTarget.value)) * unitLitres())}
        />
      </label>
      <NumberField
        key={`${unit} ${typed === litres.value ? 'typed' : litres.value}`}
        label={unit}
        value={Number(amountNow().toPrecision(3)) * unitLitres()}
        perUnit={unitLitres()}
        isPositive
        most={MOST_LITRES / unitLitres()}
        onNumber={(value) => {
          if (value === undefined) return;
          setTyped(value);
          chooseLitres(value);
        }}
      />
    </div>
  );
}
