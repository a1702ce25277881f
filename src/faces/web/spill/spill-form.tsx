import { HereSign } from '../../../drawing/index.ts';
import { formatRain } from '../../../units/index.ts';
import { Choices } from '../parts/choices.tsx';
import { FluidSelect } from '../parts/fluid-select.tsx';
import { hereWords, isAsking, spillHere } from '../state/here.ts';
import { block, clearPick } from '../state/picked.ts';
import {
  agoMinutes,
  BESIDE,
  chooseFluid,
  choosePlace,
  crewFrom,
  fluid,
  isClockOn,
  rainMmPerH,
  spillPlace,
  spillZone,
} from '../state/spill.ts';
import { voice } from '../state/voice.ts';
import { nameOf, units, yard } from '../state/yard.ts';
import { HowMuchExactly } from './how-much.tsx';

const STARTED = [
  { value: 0, words: 'Just now' },
  { value: 5, words: '5 min ago' },
  { value: 15, words: '15 min ago' },
];

/** Rain in mm/h that is meant by a word; guesses. */
const STEADY = 10;
const RAINS = [
  { value: 2, words: 'Light' },
  { value: STEADY, words: 'Steady' },
  { value: 25, words: 'Heavy' },
];

/** Where, what, in what weather, since when. Each has a value already; changing one changes the answer at once. */
export function SpillForm() {
  return (
    <form class="spill" aria-label="The spill" onSubmit={(event) => event.preventDefault()}>
      <HowMuchExactly />
      <Where />
      <div class="fields">
        <FluidSelect label="What was spilled" fluid={fluid.value} onChange={chooseFluid} />
        <CrewSelect />
      </div>
      <Rain />
      {!isClockOn.value && (
        <Choices
          legend="When did it start?"
          options={STARTED}
          value={agoMinutes.value}
          onChoose={(minutes) => {
            agoMinutes.value = minutes;
          }}
        />
      )}
    </form>
  );
}

/** A point that was tapped, or a zone out of the list. */
const TAPPED = '';

function Where() {
  if (isClockOn.value) return null;
  const place = spillPlace.value;
  const isPoint = place !== null && 'point' in place;
  const zone = spillZone.value;
  const guessed = block.value?.problems.find(({ code }) => code === 'inlet-guessed' || code === 'no-inlet');
  const words = hereWords.value ?? (guessed && `${capital(voice.value.text(guessed.message))}.`);
  return (
    <div class="where">
      <label>
        Where? Tap the place on the map, or choose.
        <select
          value={isPoint ? TAPPED : (zone ?? TAPPED)}
          onChange={({ currentTarget }) => {
            hereWords.value = null;
            clearPick();
            if (currentTarget.value !== TAPPED) choosePlace({ zone: currentTarget.value });
          }}
        >
          {isPoint && (
            <option value={TAPPED}>{zone ? `A point on ${nameOf(zone)}` : 'A point outside every zone'}</option>
          )}
          {yard.value?.map.zones.map(({ id, name }) => (
            <option key={id} value={id}>
              {name}
            </option>
          ))}
        </select>
      </label>
      <button type="button" class="stand-here" disabled={isAsking.value} onClick={spillHere}>
        <HereSign />
        {isAsking.value ? 'Asking this device …' : 'Here, where I am'}
      </button>
      <p class="hint" role="status">
        {words}
      </p>
    </div>
  );
}

function Rain() {
  const mm = rainMmPerH.value;
  const choose = (chosen: number) => {
    rainMmPerH.value = chosen;
  };
  return (
    <>
      <Choices
        legend="Is it raining?"
        options={[
          { value: 'no', words: 'No' },
          { value: 'yes', words: 'Yes' },
        ]}
        value={mm > 0 ? 'yes' : 'no'}
        onChoose={(answer) => choose(answer === 'no' ? 0 : mm || STEADY)}
      />
      {mm > 0 && (
        <Choices
          legend="How hard?"
          options={RAINS.map((each) => ({ ...each, more: formatRain(each.value, units.value) }))}
          value={mm}
          onChoose={choose}
        />
      )}
    </>
  );
}

/** Any of the crew posts; the value stands for `null` among the ids. */
const ANY = '*';

function CrewSelect() {
  const posts = yard.value?.map.others.filter(({ properties: { kind } }) => kind === 'crew') ?? [];
  const nameIn = (properties: object) => ('name' in properties ? String(properties.name) : null);
  return (
    <label>
      You set out from
      <select
        value={crewFrom.value ?? ANY}
        onChange={({ currentTarget: { value } }) => {
          crewFrom.value = value === ANY ? null : value;
        }}
      >
        <option value={ANY}>{posts.length > 0 ? 'any crew post' : 'not told'}</option>
        <option value={BESIDE}>beside the spill</option>
        {posts.map(({ id, properties }) => (
          <option key={id} value={id}>
            {nameIn(properties) ?? id}
          </option>
        ))}
      </select>
    </label>
  );
}

const capital = (text: string) => text.charAt(0).toUpperCase() + text.slice(1);
