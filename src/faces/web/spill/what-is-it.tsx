import { useState } from 'preact/hooks';
import { FLUIDS, type Fluid } from '../../../site-map/index.ts';
import { MOST_LITRES } from '../../../spill/index.ts';
import { LITRES_PER_GALLON } from '../../../units/index.ts';
import { Choices } from '../parts/choices.tsx';
import { NumberField } from '../parts/number-field.tsx';
import { chooseAmount, chosenAmount, chosenFluid, DRUM_LITRES, isStillRunning, listedFluids } from '../state/spill.ts';
import { say, voice } from '../state/voice.ts';
import { units } from '../state/yard.ts';

const UNKNOWN = 'unknown';
/** Once somebody has said that it is no gasoline, neither it nor "I do not know" is offered. */
const isLight = (fluid: Fluid) => fluid === 'gasoline';

/** The second question: what it is, as the map lists it here first. */
export function WhatIsIt({ isNoGasoline = false }: { isNoGasoline?: boolean }) {
  const listed = listedFluids.value.map(({ fluid }) => fluid);
  const all: readonly Fluid[] = [...new Set([...listed, ...FLUIDS])];
  const fluids = isNoGasoline ? all.filter((fluid) => !isLight(fluid)) : all;
  const named = fluids.map((fluid): { value: Fluid | typeof UNKNOWN; words: string; more?: string } => ({
    value: fluid,
    words: say(`things.fluid-${fluid}`),
    ...(listed.includes(fluid) ? { more: say('spill-screen.listed-here') } : {}),
  }));
  return (
    <section class="spill-ask" aria-labelledby="what-is-it">
      <h2 id="what-is-it" tabIndex={-1}>
        {say('spill-screen.what-is-it')}
      </h2>
      <Choices
        legend={say('spill-screen.what-is-it')}
        isBare
        isBig
        options={isNoGasoline ? named : [...named, { value: UNKNOWN, words: say('spill-screen.not-known') }]}
        value={chosenFluid.value}
        onChoose={(fluid) => {
          chosenFluid.value = fluid;
        }}
      />
    </section>
  );
}

/** Guesses at what runs out of common things, in the unit of the screen: in all, and in a minute. */
const COMMON = {
  si: { hose: 20, drum: DRUM_LITRES, 'truck-tank': 400, drips: 0.1, trickle: 2, stream: 20 },
  us: { hose: 5, drum: 55, 'truck-tank': 105, drips: 0.03, trickle: 0.5, stream: 5 },
} as const;
const OUT_OF = ['hose', 'drum', 'truck-tank'] as const;
const RUNNING = ['drips', 'trickle', 'stream'] as const;
const unitLitres = () => (units.value === 'us' ? LITRES_PER_GALLON : 1);

/** How much, by what it ran out of, or how fast it still runs. */
export function HowMuch() {
  const amount = chosenAmount.value;
  const isStill = isStillRunning.value;
  const words = OUT_OF.map((each) => ({ each, litres: COMMON[units.value][each] * unitLitres() }));
  const largest = listedFluids.value.find(({ fluid, largestLitres }) => fluid === chosenFluid.value && largestLitres);
  const options = [
    ...(largest?.largestLitres
      ? [{ value: largest.largestLitres, words: say('spill-screen.largest-here'), litres: largest.largestLitres }]
      : []),
    ...words.map(({ each, litres }) => ({ value: litres, words: say(`spill-screen.${each}`), litres })),
  ];
  return (
    <section class="spill-ask" aria-labelledby="how-much">
      <h2 id="how-much">{say('spill-screen.how-much')}</h2>
      <div class="choices big-ones">
        {options.map((each) => (
          <button
            key={each.words}
            type="button"
            aria-pressed={!isStill && amount?.litres === each.value && !amount.isStill}
            onClick={() => chooseAmount({ litres: each.litres, isStill: false })}
          >
            {each.words}
            <span class="choice-more">{voice.value.text({ litres: each.litres })}</span>
          </button>
        ))}
        <button
          type="button"
          aria-pressed={isStill}
          onClick={() => {
            isStillRunning.value = true;
            if (!amount?.isStill) chosenAmount.value = null;
          }}
        >
          {say('spill-screen.still-running')}
        </button>
      </div>
      {isStill && (
        <Choices
          legend={say('spill-screen.how-fast')}
          isBig
          options={RUNNING.map((each) => ({
            value: COMMON[units.value][each] * unitLitres(),
            words: say(`spill-screen.${each}`),
            more: say('spill-screen.a-minute', { volume: { litres: COMMON[units.value][each] * unitLitres() } }),
          }))}
          value={amount?.isStill ? amount.litres : null}
          onChoose={(litres) => chooseAmount({ litres, isStill: true })}
        />
      )}
      <Exactly isStill={isStill} />
    </section>
  );
}

/** The same to a number. */
function Exactly({ isStill }: { isStill: boolean }) {
  const unit = units.value;
  const amount = chosenAmount.value;
  /** What was typed last: the field is not written over by its own answer. */
  const [typed, setTyped] = useState<number | null>(null);
  const litres = amount?.litres;
  return (
    <NumberField
      key={`${unit} ${isStill} ${typed === litres ? 'typed' : litres}`}
      label={isStill ? say('spill-screen.exactly-a-minute', { unit }) : say('spill-screen.exactly', { unit })}
      value={
        litres === undefined
          ? undefined
          : typed === litres
            ? typed
            : Number((litres / unitLitres()).toPrecision(3)) * unitLitres()
      }
      perUnit={unitLitres()}
      isOptional
      isPositive
      most={MOST_LITRES / unitLitres()}
      onNumber={(value) => {
        if (value === undefined) return;
        setTyped(value);
        chosenAmount.value = { litres: value, isStill };
      }}
    />
  );
}
