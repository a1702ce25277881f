import { useSignal } from '@preact/signals';
import type { ComponentChildren, TargetedEvent } from 'preact';
import { useRef, useState } from 'preact/hooks';
import type { Action, DueWork } from '../../../log-book/index.ts';
import { LITRES_PER_GALLON } from '../../../units/index.ts';
import { entryWords } from '../../../words/index.ts';
import { NameField } from '../parts/name-field.tsx';
import { focusFirstInvalid, NumberField } from '../parts/number-field.tsx';
import { PlaceSelect } from '../parts/place-select.tsx';
import { WhenField } from '../parts/when-field.tsx';
import { byName } from '../state/by-name.ts';
import { type DoneBegun, logVisitAgain, type ShownEntry, showKept } from '../state/log-view.ts';
import { NO_ROOM, type What, write } from '../state/outbox.ts';
import { msOfSite, siteTime } from '../state/site-time.ts';
import { chosenSeparator, rememberDue, today } from '../state/upkeep.ts';
import { nameOf, units, yard } from '../state/yard.ts';
import { FormTrouble } from './form-trouble.tsx';
import { PhotoField } from './photos.tsx';

const ACTIONS: readonly { value: Action; words: string }[] = [
  { value: 'pump-out', words: 'Pumped out' },
  { value: 'packs-changed', words: 'Packs changed' },
  { value: 'debris-removed', words: 'Debris taken out' },
  { value: 'swept', words: 'Swept' },
  { value: 'kit-checked', words: 'Kit checked' },
  { value: 'placed', words: 'A control placed' },
  { value: 'training', words: 'Training held' },
  { value: 'drill', words: 'Drill held' },
];

/** These happen to people, not to a place. */
const WITHOUT_PLACE: readonly Action[] = ['training', 'drill'];

const firstPlace = () => chosenSeparator.value?.id ?? yard.value?.map.structures[0]?.id ?? '';

/** Something that was done: pumped out, packs changed, swept and the like. */
export function DoneForm({ begun }: { begun: DoneBegun }) {
  const [action, setAction] = useState<Action>(begun.action ?? 'pump-out');
  const [at, setAt] = useState(begun.at ?? firstPlace());
  const [when, setWhen] = useState(() => siteTime(Date.now()));
  const [litres, setLitres] = useState<number | undefined>(undefined);
  const [note, setNote] = useState('');
  const photos = useSignal<Blob[]>([]);
  const hasPlace = !WITHOUT_PLACE.includes(action);
  const isPumpOut = action === 'pump-out';
  const atMs = msOfSite(when);
  const trouble = Number.isNaN(atMs)
    ? 'Write the day and the time.'
    : atMs > Date.now() + 60_000
      ? 'That lies in the future: mend its time.'
      : isPumpOut && Number.isNaN(litres)
        ? 'Mend the number that is marked.'
        : null;
  return (
    <ShortForm
      words="Keep this"
      trouble={trouble}
      written={() => {
        const body = {
          action,
          ...(hasPlace ? { at } : {}),
          ...(isPumpOut && litres !== undefined ? { litres } : {}),
          ...(note.trim() === '' ? {} : { note: note.trim() }),
        };
        if (hasPlace) rememberDue(at);
        return { kind: 'action', body, atMs };
      }}
      photos={photos.value}
      kept={`${ACTIONS.find(({ value }) => value === action)?.words}: it is kept.`}
    >
      <div class="fields">
        <label>
          What was done
          <select
            value={action}
            onChange={({ currentTarget }) =>
              setAction(ACTIONS.find(({ value }) => value === currentTarget.value)?.value ?? 'pump-out')
            }
          >
            {ACTIONS.map(({ value, words }) => (
              <option key={value} value={value}>
                {words}
              </option>
            ))}
          </select>
        </label>
        {hasPlace && <PlaceSelect at={at} onChange={setAt} />}
        <WhenField when={when} onWhen={setWhen} />
        {isPumpOut && (
          <NumberField
            label={`Taken out in all (oil, water, sediment), ${units.value === 'us' ? 'gallons' : 'litres'}, if known`}
            value={litres}
            perUnit={units.value === 'us' ? LITRES_PER_GALLON : 1}
            isOptional
            isStrict
            most={1e6}
            onNumber={setLitres}
          />
        )}
      </div>
      <NoteField label="Anything else" note={note} onNote={setNote} />
      <PhotoField
        photos={photos.value}
        onChange={(update) => {
          photos.value = update(photos.value);
        }}
      />
    </ShortForm>
  );
}

/** Work that has to be done by a day: it stands among what is due until it is closed. */
export function WorkForm() {
  const [due, setDue] = useState('');
  const [note, setNote] = useState('');
  return (
    <ShortForm
      words="Keep this"
      trouble={note.trim() === '' ? 'Write what has to be done.' : due === '' ? 'Write by when.' : null}
      written={() => ({ kind: 'corrective', body: { due, note: note.trim() } })}
      kept="The work is kept, and stands among what is due."
    >
      <NoteField label="What has to be done" note={note} onNote={setNote} />
      <label class="note-field">
        By when
        <input type="date" value={due} onInput={({ currentTarget }) => setDue(currentTarget.value)} />
      </label>
    </ShortForm>
  );
}

/** Work that was due and is done. */
export function CloseForm({ work: { id, due, note: what } }: { work: DueWork }) {
  const [closed, setClosed] = useState(today.value);
  const [note, setNote] = useState('');
  return (
    <ShortForm
      words="Keep this"
      trouble={closed === '' ? 'Write the day on which it was done.' : null}
      written={() => ({
        kind: 'corrective',
        body: { due, closed, closes: id, note: note.trim() === '' ? what : `${what}. ${note.trim()}` },
      })}
      kept="The work is closed."
    >
      <p class="quoted">{what}</p>
      <label class="note-field">
        Done on
        <input type="date" value={closed} onInput={({ currentTarget }) => setClosed(currentTarget.value)} />
      </label>
      <NoteField label="Anything else" note={note} onNote={setNote} />
    </ShortForm>
  );
}

/** Nothing in the log book is changed: what was wrong is said in an entry of its own, and the old one stays. */
export function CorrectForm({ entry }: { entry: ShownEntry }) {
  const [note, setNote] = useState('');
  const visit = entry.kind === 'visit' ? entry : null;
  const [isAnew, setAnew] = useState(visit !== null);
  return (
    <ShortForm
      words="Keep this correction"
      trouble={note.trim() === '' ? 'Write what was wrong.' : null}
      written={() => ({ kind: 'correction', body: { corrects: entry.id, note: note.trim() } })}
      kept={`Entry ${entry.seq} is corrected.`}
      afterwards={isAnew && visit ? () => logVisitAgain(visit) : undefined}
    >
      <p class="quoted">{entryWords(entry, nameOf, units.value)}</p>
      <p class="hint">
        The entry stays in the log book and counts no more. If something else is true, keep that as an entry of its own.
      </p>
      <NoteField label="What was wrong" note={note} onNote={setNote} />
      {visit && (
        <label class="one-spill">
          <input type="checkbox" checked={isAnew} onChange={({ currentTarget }) => setAnew(currentTarget.checked)} />
          Then write the visit anew, beginning with what it says
        </label>
      )}
    </ShortForm>
  );
}

function NoteField({ label, note, onNote }: { label: string; note: string; onNote: (note: string) => void }) {
  return (
    <label class="note-field">
      {label}
      <textarea rows={3} value={note} onInput={({ currentTarget }) => onNote(currentTarget.value)} />
    </label>
  );
}

/** The name, the button, and what is wrong once it was pressed. */
function ShortForm({
  words,
  trouble,
  written,
  photos = [],
  kept,
  afterwards,
  children,
}: {
  words: string;
  trouble: string | null;
  written: () => What & { atMs?: number };
  photos?: readonly Blob[];
  kept: string;
  /** What comes instead of the list. */
  afterwards?: () => void;
  children: ComponentChildren;
}) {
  const [shown, setShown] = useState<string | null>(null);
  const isBusy = useRef(false);
  const wrong = trouble ?? (byName.value.trim() === '' ? 'Write your name.' : null);
  const submit = async (event: TargetedEvent<HTMLFormElement>) => {
    event.preventDefault();
    const open = yard.value;
    setShown(wrong);
    if (wrong !== null) return focusFirstInvalid(event.currentTarget);
    if (isBusy.current || !open) return;
    isBusy.current = true;
    const { isSafe } = await write(open, { ...written(), by: byName.value }, photos);
    isBusy.current = false;
    if (!isSafe) setShown(NO_ROOM);
    else if (afterwards) afterwards();
    else showKept(kept);
  };
  return (
    <form class="log-form" onSubmit={submit} noValidate>
      {children}
      <NameField class="note-field" />
      <FormTrouble shown={shown} wrong={wrong} />
      <button type="submit" class="big strong">
        {words}
      </button>
    </form>
  );
}
