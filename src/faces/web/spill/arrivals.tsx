import { useState } from 'preact/hooks';
import type { SpillAnswer, SpillArrival } from '../../../spill/index.ts';
import { formatVolume } from '../../../units/index.ts';
import { spillSentences } from '../../../words/index.ts';
import { isPast, leftWords } from '../parts/countdown.ts';
import { withoutZeros } from '../parts/finding-words.ts';
import { usePickedInSight } from '../parts/picked-in-sight.ts';
import { heldTo } from '../state/clock.ts';
import { pick, pickedId, structureOf } from '../state/picked.ts';
import { isClockOn } from '../state/spill.ts';
import { voice } from '../state/voice.ts';
import { units } from '../state/yard.ts';

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
      <h2 id="arrivals">{heldTo.value ? 'When oil would be where' : 'When oil can be where'}</h2>
      {!isClockOn.value && <p class="hint">{spillSentences(spill, (id) => id, voice.value).join(' ')}</p>}
      {arrivals.every(({ litres }) => litres === 0) && (
        <p class="hint">Dry ground may keep all of so little. Act as if it did not.</p>
      )}
      <ol class="arrivals">
        {arrivals.filter(isShown).map((each) => (
          <ArrivalRow key={each.id} arrival={each} isUnguarded={unguarded.has(each.id)} />
        ))}
      </ol>
      {arrivals.length > SHOWN_FIRST && (
        <button type="button" class="more" onClick={() => setWhole(!isWhole)}>
          {isWhole ? 'Show fewer' : `Show all ${arrivals.length} points`}
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
          {isUnguarded && <em> past no separator</em>}
        </span>
        <strong>{isKept ? 'kept out' : isPast(minutes) ? 'oil can be there' : leftWords(minutes)}</strong>
        <span class="row-range">{withoutZeros(formatVolume(litres, units.value))}</span>
      </button>
    </li>
  );
}
