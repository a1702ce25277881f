import { Choices } from '../parts/choices.tsx';
import { agoMinutes, chosenAmount, HELPERS, helpers, isClockOn, overMinutes, rainMmPerH } from '../state/spill.ts';
import { say } from '../state/voice.ts';

/** Minutes since the spill began that can be chosen. */
const STARTED = [0, 5, 15];
/** Minutes over which it ran out that can be chosen; none leaves it to the map. */
const NOT_SAID = 0;
const OVER = [NOT_SAID, 1, 10, 30];

/** Rain in mm/h that is meant by a word; guesses. */
const STEADY = 10;
const RAINS = [
  { value: 2, rain: 'light' },
  { value: STEADY, rain: 'steady' },
  { value: 25, rain: 'heavy' },
] as const;

/** In what weather, over how long, since when, and who can help. Each has a value already; changing one changes the answer at once. */
export function WeatherAndHelp() {
  const isRain = rainMmPerH.value > 0;
  return (
    <form class="spill" aria-label={say('spill-screen.the-spill')} onSubmit={(event) => event.preventDefault()}>
      <Choices
        legend={say('spill-screen.raining')}
        options={[
          { value: 0, words: say('spill-screen.no') },
          { value: 1, words: say('spill-screen.yes') },
        ]}
        value={isRain ? 1 : 0}
        onChoose={(value) => {
          rainMmPerH.value = value === 0 ? 0 : rainMmPerH.value || STEADY;
        }}
      />
      {isRain && (
        <Choices
          legend={say('spill-screen.how-hard')}
          options={RAINS.map(({ value, rain }) => ({ value, words: say(`spill-screen.rain-${rain}`) }))}
          value={rainMmPerH.value}
          onChoose={(value) => {
            rainMmPerH.value = value;
          }}
        />
      )}
      {chosenAmount.value?.isStill !== true && (
        <Choices
          legend={say('spill-screen.over-how-long')}
          options={OVER.map((minutes) => ({
            value: minutes,
            words: minutes === NOT_SAID ? say('spill-screen.not-said') : say('spill-screen.over', { minutes }),
          }))}
          value={overMinutes.value ?? NOT_SAID}
          onChoose={(minutes) => {
            overMinutes.value = minutes === NOT_SAID ? null : minutes;
          }}
        />
      )}
      <Choices
        legend={say('spill-screen.who-helps')}
        options={HELPERS.map((value) => ({ value, words: say(`spill-screen.helps-${value}`) }))}
        value={helpers.value}
        onChoose={(value) => {
          helpers.value = value;
        }}
      />
      {!isClockOn.value && (
        <Choices
          legend={say('spill-screen.when-started')}
          options={STARTED.map((minutes) => ({
            value: minutes,
            words: minutes === 0 ? say('spill-screen.just-now') : say('spill-screen.ago', { minutes }),
          }))}
          value={agoMinutes.value}
          onChoose={(minutes) => {
            agoMinutes.value = minutes;
          }}
        />
      )}
    </form>
  );
}
