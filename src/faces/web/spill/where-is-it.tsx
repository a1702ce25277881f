import { capital } from '../../../catalogue/index.ts';
import { HereSign } from '../../../drawing/index.ts';
import { hereWords, isAsking, spillHere } from '../state/here.ts';
import { block, clearPick } from '../state/picked.ts';
import { choosePlace, chosenPlace, isClockOn, spillZone } from '../state/spill.ts';
import { say, voice } from '../state/voice.ts';
import { nameOf, yard } from '../state/yard.ts';

/** The first of two questions: where it is. Nothing is guessed. */
export function WhereIsIt() {
  return (
    <section class="spill-ask" aria-labelledby="where-is-it">
      <h2 id="where-is-it" class="answer" aria-busy={false} tabIndex={-1}>
        {say('spill-screen.where-is-it')}
      </h2>
      <button type="button" class="big strong stand-here" disabled={isAsking.value} onClick={spillHere}>
        <HereSign />
        {say(isAsking.value ? 'spill-screen.asking-device' : 'spill-screen.here-i-am')}
      </button>
      <p role="status">{hereWords.value ?? say('spill-screen.or-tap')}</p>
      <GroundSelect label={say('spill-screen.or-choose')} />
    </section>
  );
}

/** The ground that it is on, once that is known, and the way back. */
export function OnGround() {
  const place = chosenPlace.value;
  if (!place) return null;
  const zone = spillZone.value;
  const guessed = block.value?.problems.find(({ code }) => code === 'inlet-guessed' || code === 'no-inlet');
  const words = hereWords.value ?? (guessed && `${capital(voice.value.text(guessed.message), voice.value.locale)}.`);
  return (
    <div class="on-ground" data-zone={zone ?? undefined}>
      <p class="on-ground-name">
        {zone === null ? say('spill-screen.point-outside') : say('spill-screen.on-zone', { zone: nameOf(zone) })}
        {!isClockOn.value && (
          <button type="button" class="quiet" onClick={() => (chosenPlace.value = null)}>
            {say('spill-screen.other-place')}
          </button>
        )}
      </p>
      {words && <p role="status">{words}</p>}
    </div>
  );
}

const NONE = '';

function GroundSelect({ label }: { label: string }) {
  return (
    <label>
      {label}
      <select
        value={NONE}
        onChange={({ currentTarget }) => {
          hereWords.value = null;
          clearPick();
          if (currentTarget.value !== NONE) choosePlace({ zone: currentTarget.value });
        }}
      >
        <option value={NONE}>{say('spill-screen.choose')}</option>
        {yard.value?.map.zones.map(({ id, name }) => (
          <option key={id} value={id}>
            {name}
          </option>
        ))}
      </select>
    </label>
  );
}
