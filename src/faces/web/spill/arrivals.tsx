import { useState } from 'preact/hooks';
import type { SpillAnswer, SpillArrival } from '../../../spill/index.ts';
import { spillSentences } from '../../../words/index.ts';
import { isPast, leftWords } from '../parts/countdown.ts';
import { usePickedInSight } from '../parts/picked-in-sight.ts';
import { heldTo } from '../state/clock.ts';
import { pick, pickedId, structureOf } from '../state/picked.ts';
import { isClockOn } from '../state/spill.ts';
import { say, voice } from '../state/voice.ts';

const SHOWN_FIRST = 6;

/** What oil reaches if nothing is done, first come first, each with how long until then. */
export function Arrivals({ spill }: { spill: SpillAnswer }) {
  const [isWhole, setWhole] = useState(false);
  const { arrivals, outfalls } = spill;
  if (arrivals.length === 0) return null;
  const unguarded = new Set(outfalls.filter(({ pastSeparator }) => !pastSeparator).map(({ id }) => id));
  const ends = new Set(outfalls.map(({ id }) => id));
  const isShown = ({ id }: SpillArrival, at: number) =>
    isWhole || at < SHOWN_FIRST || ends.has(id) || id === pickedId.value;
  return (
    <section aria-labelledby="arrivals">
      <h2 id="arrivals">{say(heldTo.value ? 'spill-screen.would-be-where' : 'spill-screen.can-be-where')}</h2>
      {!isClockOn.value && <p class="hint">{spillSentences(spill, (id) => id, voice.value).join(' ')}</p>}
      {arrivals.every(({ litres }) => litres === 0) && <p class="hint">{say('spill-screen.dry-ground')}</p>}
      <ol class="arrivals">
        {arrivals.filter(isShown).map((each) => (
          <ArrivalRow key={each.id} arrival={each} isUnguarded={unguarded.has(each.id)} />
        ))}
      </ol>
      {arrivals.length > SHOWN_FIRST && (
        <button type="button" class="more" onClick={() => setWhole(!isWhole)}>
          {isWhole ? say('spill-screen.show-fewer') : say('spill-screen.show-points', { count: arrivals.length })}
        </button>
      )}
    </section>
  );
}

function ArrivalRow({
  arrival: { id, minutes, litres },
  isUnguarded,
}: {
  arrival: SpillArrival;
  isUnguarded: boolean;
}) {
  const isPicked = pickedId.value === id;
  const row = usePickedInSight<HTMLLIElement>(isPicked);
  const isKept = heldTo.value !== null && !heldTo.value.includes(id);
  const name = structureOf(id)?.name;
  return (
    <li ref={row}>
      <button type="button" class="arrival-row" data-row={id} aria-pressed={isPicked} onClick={() => pick(id)}>
        <span class="row-name">
          {id}
          {name && name !== id && <span class="soft">{` ${name}`}</span>}
          {isUnguarded && <em> {say('spill-screen.past-no-separator')}</em>}
        </span>
        <strong>
          {isKept
            ? say('spill-screen.kept-out')
            : isPast(minutes)
              ? say('spill-screen.can-be-there')
              : leftWords(minutes)}
        </strong>
        <span class="row-range">{voice.value.text({ litres })}</span>
      </button>
    </li>
  );
}
