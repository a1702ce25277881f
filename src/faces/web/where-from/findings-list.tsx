import { useState } from 'preact/hooks';
import { SeenSign } from '../../../drawing/index.ts';
import { foundOil, type Seen } from '../../../sources/index.ts';
import type { FindingSource } from '../compute/protocol.ts';
import { lids } from '../map/drawn-yard.ts';
import { seenWords, windowWords } from '../parts/finding-words.ts';
import { PlaceSelect } from '../parts/place-select.tsx';
import { answeredId, asked, findings, litresOf, lookWindow, openId, supposedId } from '../state/finding.ts';
import { pickedId, structureOf, zoneOf } from '../state/picked.ts';
import { addFinding } from '../state/said.ts';
import { nameOf, units, yard } from '../state/yard.ts';
import { FindingForm, problemsOf } from './finding-form.tsx';
import { FindingsAndBook } from './findings-and-book.tsx';

/** Everything that was seen, each to be opened, changed and taken out, and the way to add more. All of it is weighed. */
export function FindingsList() {
  return (
    <section aria-labelledby="found">
      <h2 id="found">What was found</h2>
      {supposedId.value !== null && findings.value.some(({ id }) => id === supposedId.value) && (
        <p class="hint">
          No findings came with this map, so one is supposed, and it counts. What you see at that place takes its place;
          or change it, or take it out.
        </p>
      )}
      {findings.value.length > 0 && (
        <ul class="findings">
          {findings.value.map((finding) => (
            <FindingRow key={finding.id} finding={finding} />
          ))}
        </ul>
      )}
      <AddFinding key={yard.value?.fileName} />
      <FindingsAndBook />
    </section>
  );
}

function FindingRow({ finding }: { finding: FindingSource }) {
  const { id, at } = finding;
  const isOpen = openId.value === id;
  const turn = () => {
    openId.value = isOpen ? null : id;
  };
  const name = nameOf(at);
  const said = [
    ...(answeredId.value === id ? ['asked about'] : []),
    ...(supposedId.value === id ? ['supposed'] : []),
    ...(problemsOf(id).length > 0 ? ['not counted'] : []),
  ];
  return (
    <li class={supposedId.value === id ? 'supposed' : undefined}>
      <button
        type="button"
        class="finding-row"
        data-finding={id}
        aria-expanded={isOpen}
        aria-current={answeredId.value === id ? 'true' : undefined}
        onClick={turn}
      >
        <SeenSign isClean={!foundOil(finding)} />
        <span>
          <strong>{structureOf(at) ? at : name}</strong> {seenWords(finding, litresOf(finding), units.value)}
        </span>
        <span class="finding-when">
          {windowWords(finding)}
          {said.map((words) => (
            <em key={words}>{words}</em>
          ))}
        </span>
      </button>
      {isOpen && <FindingForm finding={finding} />}
    </li>
  );
}

/** Asks where and what before it counts: nothing that nobody saw may move the odds. */
function AddFinding() {
  const [at, setAt] = useState<string | null>(null);
  const first = [pickedId.value, lids.value[0], yard.value?.map.structures[0]?.id].find(
    (id) => typeof id === 'string' && isPlace(id),
  );
  if (!first) return null;
  if (at === null) {
    return (
      <button type="button" class="more" onClick={() => setAt(first)}>
        Add a finding
      </button>
    );
  }
  const add = (seen: Seen) => {
    openId.value = addFinding({ at, seen, ...lookWindow(asked.value, new Date()) });
    setAt(null);
  };
  return (
    <fieldset class="add-finding" aria-label="A new finding">
      <PlaceSelect at={at} onChange={setAt} />
      <p class="hint">What was seen there? An amount can be set afterwards.</p>
      <div class="finding-acts">
        <button type="button" onClick={() => add('clean')}>
          Clean
        </button>
        <button type="button" onClick={() => add('oil')}>
          Oily
        </button>
        <button type="button" class="quiet" onClick={() => setAt(null)}>
          Leave it
        </button>
      </div>
    </fieldset>
  );
}

const isPlace = (id: string) => structureOf(id) !== undefined || zoneOf(id) !== undefined;
