import { useState } from 'preact/hooks';
import { entryWords } from '../../words/visit.ts';
import { PlaceSelect } from '../panel/place-select.tsx';
import { byName, setByName } from '../state/by-name.ts';
import { write } from '../state/log-book.ts';
import { type ShownEntry, showKept } from '../state/log-view.ts';
import { chosenSeparator, rememberDue } from '../state/upkeep.ts';
import { nameOf, units, yard } from '../state/yard.ts';
import { PhotoField } from './photos.tsx';

const ACTIONS = [
  { value: 'pump-out', words: 'Pumped out' },
  { value: 'packs-changed', words: 'Packs changed' },
  { value: 'debris-removed', words: 'Debris taken out' },
  { value: 'swept', words: 'Swept' },
  { value: 'kit-checked', words: 'Kit checked' },
  { value: 'placed', words: 'A control placed' },
  { value: 'training', words: 'Training held' },
  { value: 'drill', words: 'Drill held' },
] as const;

/** These happen to people, not to a place. */
const WITHOUT_PLACE: readonly string[] = ['training', 'drill'];

const firstPlace = () => chosenSeparator.value?.id ?? yard.value?.map.structures[0]?.id ?? '';

/** Something that was done: pumped out, packs changed, swept and the like. */
export function DoneForm() {
  const [action, setAction] = useState<(typeof ACTIONS)[number]['value']>('pump-out');
  const [at, setAt] = useState(firstPlace);
  const [note, setNote] = useState('');
  const [photos, setPhotos] = useState<Blob[]>([]);
  const hasPlace = !WITHOUT_PLACE.includes(action);
  return (
    <ShortForm
      words="Keep this"
      trouble={null}
      keep={() => {
        const body = { action, ...(hasPlace ? { at } : {}), ...(note.trim() === '' ? {} : { note: note.trim() }) };
        if (hasPlace) rememberDue(at);
        return write({ kind: 'action', body, by: byName.value }, photos);
      }}
      kept={() => `${ACTIONS.find(({ value }) => value === action)?.words}: it is kept.`}
    >
      <div class="fields">
        <label>
          What was done
          <select value={action} onChange={({ currentTarget }) => setAction(currentTarget.value as typeof action)}>
            {ACTIONS.map(({ value, words }) => (
              <option key={value} value={value}>
                {words}
              </option>
            ))}
          </select>
        </label>
        {hasPlace && <PlaceSelect at={at} onChange={setAt} />}
      </div>
      <NoteField label="Anything else" note={note} onNote={setNote} />
      <PhotoField photos={photos} onChange={setPhotos} />
    </ShortForm>
  );
}

/** Work that has to be done by a day: it stands among what is due until it is closed. */
export function WorkForm() {
  const [due, setDue] = useState('');
  const [note, setNote] = useState('');
  const trouble = note.trim() === '' ? 'Write what has to be done.' : due === '' ? 'Write by when.' : null;
  return (
    <ShortForm
      words="Keep this"
      trouble={trouble}
      keep={() => write({ kind: 'corrective', body: { due, note: note.trim() }, by: byName.value })}
      kept={() => 'The work is kept, and stands among what is due.'}
    >
      <NoteField label="What has to be done" note={note} onNote={setNote} />
      <label class="note-field">
        By when
        <input type="date" value={due} onInput={({ currentTarget }) => setDue(currentTarget.value)} />
      </label>
    </ShortForm>
  );
}

/** Nothing in the log book is changed: what was wrong is said in an entry of its own, and the old one stays. */
export function CorrectForm({ entry }: { entry: ShownEntry }) {
  const [note, setNote] = useState('');
  return (
    <ShortForm
      words="Keep this correction"
      trouble={note.trim() === '' ? 'Write what was wrong.' : null}
      keep={() => write({ kind: 'correction', body: { corrects: entry.id, note: note.trim() }, by: byName.value })}
      kept={() => `Entry ${entry.seq} is corrected.`}
    >
      <p class="quoted">{entryWords(entry, nameOf, units.value)}</p>
      <p class="hint">
        The entry stays in the log book and counts no more. If something else is true, keep that as an entry of its own.
      </p>
      <NoteField label="What was wrong" note={note} onNote={setNote} />
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
  keep,
  kept,
  children,
}: {
  words: string;
  trouble: string | null;
  keep: () => ReturnType<typeof write>;
  kept: () => string;
  children: preact.ComponentChildren;
}) {
  const [told, setTold] = useState<string | null>(null);
  const [isBusy, setBusy] = useState(false);
  const submit = async (event: Event) => {
    event.preventDefault();
    setTold(trouble);
    if (trouble !== null || isBusy) return;
    setBusy(true);
    const { isSafe } = await keep();
    setBusy(false);
    if (isSafe) showKept(kept());
    else setTold('This device has no room for it, and the log book does not answer. Make room, or try again.');
  };
  return (
    <form class="log-form" onSubmit={submit} noValidate>
      {children}
      <label class="note-field">
        Your name
        <input
          value={byName.value}
          autocomplete="name"
          onInput={({ currentTarget }) => setByName(currentTarget.value)}
        />
      </label>
      <p class="form-trouble" role="alert">
        {told}
      </p>
      <button type="submit" class="big strong">
        {words}
      </button>
    </form>
  );
}
