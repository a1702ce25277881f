import { useSignal } from '@preact/signals';
import type { ComponentChildren, TargetedEvent } from 'preact';
import { useRef, useState } from 'preact/hooks';
import { type Told, told } from '../../../catalogue/index.ts';
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
import { say, voice } from '../state/voice.ts';
import { nameOf, units, yard } from '../state/yard.ts';
import { FormTrouble } from './form-trouble.tsx';
import { PhotoField } from './photos.tsx';

/** What is offered, most often done first. */
const ACTIONS: readonly Action[] = [
  'pump-out',
  'packs-changed',
  'debris-removed',
  'swept',
  'kit-checked',
  'placed',
  'training',
  'drill',
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
    ? told('log-screen.write-time')
    : atMs > Date.now() + 60_000
      ? told('log-screen.in-future')
      : isPumpOut && Number.isNaN(litres)
        ? told('log-screen.mend-number')
        : null;
  return (
    <ShortForm
      words={say('log-screen.keep')}
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
      kept={told('log-screen.done-kept', { what: told(`log-screen.action-${action}`) })}
    >
      <div class="fields">
        <label>
          {say('log-screen.what-was-done')}
          <select
            value={action}
            onChange={({ currentTarget }) =>
              setAction(ACTIONS.find((each) => each === currentTarget.value) ?? 'pump-out')
            }
          >
            {ACTIONS.map((each) => (
              <option key={each} value={each}>
                {say(`log-screen.action-${each}`)}
              </option>
            ))}
          </select>
        </label>
        {hasPlace && <PlaceSelect at={at} onChange={setAt} />}
        <WhenField when={when} onWhen={setWhen} />
        {isPumpOut && (
          <NumberField
            label={say('log-screen.taken-out', { units: units.value })}
            value={litres}
            perUnit={units.value === 'us' ? LITRES_PER_GALLON : 1}
            isOptional
            isStrict
            most={1e6}
            onNumber={setLitres}
          />
        )}
      </div>
      <NoteField label={say('log-screen.anything-else')} note={note} onNote={setNote} />
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
      words={say('log-screen.keep')}
      trouble={
        note.trim() === '' ? told('log-screen.write-what-to-do') : due === '' ? told('log-screen.write-by-when') : null
      }
      written={() => ({ kind: 'corrective', body: { due, note: note.trim() } })}
      kept={told('log-screen.work-kept')}
    >
      <NoteField label={say('log-screen.what-to-do')} note={note} onNote={setNote} />
      <label class="note-field">
        {say('log-screen.by-when')}
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
      words={say('log-screen.keep')}
      trouble={closed === '' ? told('log-screen.write-done-day') : null}
      written={() => ({
        kind: 'corrective',
        body: { due, closed, closes: id, note: note.trim() === '' ? what : `${what}. ${note.trim()}` },
      })}
      kept={told('log-screen.work-closed')}
    >
      <p class="quoted">{what}</p>
      <label class="note-field">
        {say('log-screen.done-on')}
        <input type="date" value={closed} onInput={({ currentTarget }) => setClosed(currentTarget.value)} />
      </label>
      <NoteField label={say('log-screen.anything-else')} note={note} onNote={setNote} />
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
      words={say('log-screen.keep-correction')}
      trouble={note.trim() === '' ? told('log-screen.write-wrong') : null}
      written={() => ({ kind: 'correction', body: { corrects: entry.id, note: note.trim() } })}
      kept={told('log-screen.entry-corrected', { seq: String(entry.seq) })}
      afterwards={isAnew && visit ? () => logVisitAgain(visit) : undefined}
    >
      <p class="quoted">{entryWords(entry, nameOf, voice.value)}</p>
      <p class="hint">{say('log-screen.entry-stays')}</p>
      <NoteField label={say('log-screen.what-was-wrong')} note={note} onNote={setNote} />
      {visit && (
        <label class="one-spill">
          <input type="checkbox" checked={isAnew} onChange={({ currentTarget }) => setAnew(currentTarget.checked)} />
          {say('log-screen.visit-anew')}
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
  trouble: Told | null;
  written: () => What & { atMs?: number };
  photos?: readonly Blob[];
  kept: Told;
  /** What comes instead of the list. */
  afterwards?: () => void;
  children: ComponentChildren;
}) {
  const [shown, setShown] = useState<Told | null>(null);
  const isBusy = useRef(false);
  const wrong = trouble ?? (byName.value.trim() === '' ? told('log-screen.write-name') : null);
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
