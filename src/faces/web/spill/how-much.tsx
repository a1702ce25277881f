import { useState } from 'preact/hooks';
import { LITRES_PER_GALLON } from '../../../units/index.ts';
import { Choices } from '../parts/choices.tsx';
import { NumberField } from '../parts/number-field.tsx';
import { chooseLitres, litres } from '../state/spill.ts';
import { say, voice } from '../state/voice.ts';
import { units } from '../state/yard.ts';
import { amountAt, sliderValue } from './slider.ts';

/** Guesses at what runs out of common things, in the unit of the screen. */
const COMMON = {
  si: { hose: 20, drum: 205, 'truck-tank': 400 },
  us: { hose: 5, drum: 55, 'truck-tank': 105 },
};
const OUT_OF = ['hose', 'drum', 'truck-tank'] as const;

/** An amount this near to a button's, as a part of it, is that button's. */
const ABOUT = 0.03;
const MOST_LITRES = 100_000;

const unitLitres = () => (units.value === 'us' ? LITRES_PER_GALLON : 1);
const amountNow = () => litres.value / unitLitres();

/** How much was spilled, by what it ran out of. */
export function HowMuch() {
  const options = OUT_OF.map((each) => {
    const amount = COMMON[units.value][each];
    return {
      value: amount,
      words: say(`spill-screen.${each}`),
      more: voice.value.text({ litres: amount * unitLitres() }),
    };
  });
  const chosen = options.find(({ value }) => Math.abs(value - amountNow()) < ABOUT * value)?.value ?? null;
  return (
    <Choices
      legend={say('spill-screen.how-much')}
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
  const unit = say(units.value === 'us' ? 'app.gallons' : 'app.litres');
  return (
    <div class="amount">
      <label>
        {say('spill-screen.how-much-roughly')}
        <input
          type="range"
          min="0"
          max="100"
          step="1"
          value={sliderValue(amountNow())}
          aria-valuetext={voice.value.text({ litres: litres.value })}
          onInput={({ currentTarget }) => chooseLitres(amountAt(Number(currentTarget.value)) * unitLitres())}
        />
      </label>
      <NumberField
        key={`${unit} ${typed === litres.value ? 'typed' : litres.value}`}
        label={unit}
        value={typed === litres.value ? typed : Number(amountNow().toPrecision(3)) * unitLitres()}
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
