import { capital } from '../../../catalogue/index.ts';
import { HereSign } from '../../../drawing/index.ts';
import { Choices } from '../parts/choices.tsx';
import { FluidSelect } from '../parts/fluid-select.tsx';
import { KeptNote } from '../parts/kept-note.tsx';
import { hereWords, isAsking, spillHere } from '../state/here.ts';
import { block, clearPick } from '../state/picked.ts';
import {
  agoMinutes,
  BESIDE,
  chooseFluid,
  choosePlace,
  crewFrom,
  fluid,
  forgetSpill,
  isClockOn,
  isSpillChosen,
  rainMmPerH,
  spillPlace,
  spillZone,
} from '../state/spill.ts';
import { say, voice } from '../state/voice.ts';
import { nameOf, yard } from '../state/yard.ts';
import { HowMuchExactly } from './how-much.tsx';

/** Minutes since the spill began that can be chosen. */
const STARTED = [0, 5, 15];

/** Rain in mm/h that is meant by a word; guesses. */
const STEADY = 10;
const RAINS = [
  { value: 2, rain: 'light' },
  { value: STEADY, rain: 'steady' },
  { value: 25, rain: 'heavy' },
] as const;

/** Where, what, in what weather, since when. Each has a value already; changing one changes the answer at once. */
export function SpillForm() {
  return (
    <form class="spill" aria-label={say('spill-screen.the-spill')} onSubmit={(event) => event.preventDefault()}>
      <HowMuchExactly />
      <Where />
      <div class="fields">
        <FluidSelect label={say('spill-screen.what-spilled')} fluid={fluid.value} onChange={chooseFluid} />
        <CrewSelect />
      </div>
      <Rain />
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
      <KeptNote afresh={isSpillChosen.value && !isClockOn.value ? forgetSpill : undefined} />
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
  const words = hereWords.value ?? (guessed && `${capital(voice.value.text(guessed.message), voice.value.locale)}.`);
  return (
    <div class="where">
      <label>
        {say('spill-screen.where')}
        <select
          value={isPoint ? TAPPED : (zone ?? TAPPED)}
          onChange={({ currentTarget }) => {
            hereWords.value = null;
            clearPick();
            if (currentTarget.value !== TAPPED) choosePlace({ zone: currentTarget.value });
          }}
        >
          {isPoint && (
            <option value={TAPPED}>
              {zone ? say('spill-screen.point-on', { zone: nameOf(zone) }) : say('spill-screen.point-outside')}
            </option>
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
        {say(isAsking.value ? 'spill-screen.asking-device' : 'spill-screen.here-i-am')}
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
        legend={say('spill-screen.raining')}
        options={[
          { value: 'no', words: say('spill-screen.no') },
          { value: 'yes', words: say('spill-screen.yes') },
        ]}
        value={mm > 0 ? 'yes' : 'no'}
        onChoose={(answer) => choose(answer === 'no' ? 0 : mm || STEADY)}
      />
      {mm > 0 && (
        <Choices
          legend={say('spill-screen.how-hard')}
          options={RAINS.map(({ value, rain }) => ({
            value,
            words: say(`spill-screen.rain-${rain}`),
            more: voice.value.text({ mmPerHour: value }),
          }))}
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
      {say('spill-screen.set-out-from')}
      <select
        value={crewFrom.value ?? ANY}
        onChange={({ currentTarget: { value } }) => {
          crewFrom.value = value === ANY ? null : value;
        }}
      >
        <option value={ANY}>{say(posts.length > 0 ? 'spill-screen.any-post' : 'spill-screen.not-told')}</option>
        <option value={BESIDE}>{say('spill-screen.beside-spill')}</option>
        {posts.map(({ id, properties }) => (
          <option key={id} value={id}>
            {nameIn(properties) ?? id}
          </option>
        ))}
      </select>
    </label>
  );
}
