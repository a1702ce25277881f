import { joinSpill, type SharedSpill, sharing, spillsElsewhere } from '../state/shared-spill.ts';
import { clockTime } from '../state/site-time.ts';
import { say } from '../state/voice.ts';
import { nameOf } from '../state/yard.ts';

/** Who else sees what is said of this spill, in a sentence. */
export function Sharing() {
  return (
    <p class="sharing" role="status">
      {say(`spill-screen.sharing-${sharing.value}`)}
    </p>
  );
}

/** The spills that others have told, each with the way into it. On every screen, ahead of what it answers. */
export function SpillsElsewhere() {
  return (
    <>
      {spillsElsewhere.value.map((spill) => (
        <section key={spill.id} class="spill-elsewhere">
          <p role="status">{runningWords(spill)}</p>
          <button type="button" class="big strong" onClick={() => joinSpill(spill)}>
            {say('spill-screen.join')}
          </button>
        </section>
      ))}
    </>
  );
}

function runningWords({ startedAt, facts: { place } }: SharedSpill): string {
  const time = clockTime(startedAt);
  return 'zone' in place
    ? say('spill-screen.running-there', { place: nameOf(place.zone), time })
    : say('spill-screen.running-at-point', { time });
}
