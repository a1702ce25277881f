import { SeenSign } from '../../../drawing/index.ts';
import { foundOil, type Seen } from '../../../sources/index.ts';
import type { FindingSource } from '../compute/protocol.ts';
import { lids } from '../map/drawn-yard.ts';
import { seenWords, windowWords } from '../parts/finding-words.ts';
import { KeptNote } from '../parts/kept-note.tsx';
import { PlaceSelect } from '../parts/place-select.tsx';
import {
  addingAt,
  answeredId,
  asked,
  findings,
  findingWindow,
  litresOf,
  openId,
  supposedId,
} from '../state/finding.ts';
import { isMerged } from '../state/kept-findings.ts';
import { pickedId, structureOf, zoneOf } from '../state/picked.ts';
import { addFinding } from '../state/said.ts';
import { endStep } from '../state/steps.ts';
import { say } from '../state/voice.ts';
import { nameOf, yard } from '../state/yard.ts';
import { FindingForm, problemsOf } from './finding-form.tsx';
import { FindingsAndBook } from './findings-and-book.tsx';

/** Everything that was seen, each to be opened, changed and taken out, and the way to add more. All of it is weighed. */
export function FindingsList() {
  return (
    <section aria-labelledby="found">
      <h2 id="found">{say('where-from.what-was-found')}</h2>
      {supposedId.value !== null && findings.value.some(({ id }) => id === supposedId.value) && (
        <p class="hint">{say('where-from.one-supposed')}</p>
      )}
      {findings.value.length > 0 && (
        <ul class="findings">
          {findings.value.map((finding) => (
            <FindingRow key={finding.id} finding={finding} />
          ))}
        </ul>
      )}
      <AddFinding />
      {findings.value.some(({ id }) => id !== supposedId.value) && <KeptNote isMerged={isMerged.value} />}
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
    ...(answeredId.value === id ? [say('where-from.asked-about')] : []),
    ...(supposedId.value === id ? [say('where-from.is-supposed')] : []),
    ...(problemsOf(id).length > 0 ? [say('where-from.not-counted')] : []),
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
          <strong>{structureOf(at) ? at : name}</strong> {seenWords(finding, litresOf(finding))}
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
  const at = addingAt.value;
  const first = [pickedId.value, lids.value[0], yard.value?.map.structures[0]?.id].find(
    (id) => typeof id === 'string' && isPlace(id),
  );
  if (!first) return null;
  if (at === null) {
    return (
      <button type="button" class="more" onClick={() => (addingAt.value = first)}>
        {say('where-from.add-finding')}
      </button>
    );
  }
  const add = (seen: Seen) => {
    openId.value = addFinding({ at, seen, ...findingWindow(asked.value, new Date()) });
    addingAt.value = null;
    endStep();
  };
  return (
    <fieldset class="add-finding" aria-label={say('where-from.new-finding')}>
      <PlaceSelect
        at={at}
        onChange={(place) => {
          addingAt.value = place;
          endStep();
        }}
      />
      <p class="hint">{say('where-from.what-seen-there')}</p>
      <div class="finding-acts">
        <button type="button" onClick={() => add('clean')}>
          {say('where-from.clean')}
        </button>
        <button type="button" onClick={() => add('oil')}>
          {say('where-from.oily')}
        </button>
        <button type="button" class="quiet" onClick={() => (addingAt.value = null)}>
          {say('where-from.leave-it')}
        </button>
      </div>
    </fieldset>
  );
}

const isPlace = (id: string) => structureOf(id) !== undefined || zoneOf(id) !== undefined;
