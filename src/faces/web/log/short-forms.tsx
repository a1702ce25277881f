import { useSignal } from '@preact/signals';
import type { ComponentChildren, TargetedEvent } from 'preact';
import { useEffect, useRef, useState } from 'preact/hooks';
import { type Told, told } from '../../../catalogue/index.ts';
import type { Action, DueWork } from '../../../log-book/index.ts';
import { LITRES_PER_GALLON } from '../../../units/index.ts';
import { entryWords } from '../../../words/index.ts';
import { KeptNote } from '../parts/kept-note.tsx';
import { NameField } from '../parts/name-field.tsx';
import { focusFirstInvalid, NumberField } from '../parts/number-field.tsx';
import { PlaceSelect } from '../parts/place-select.tsx';
import { WhenField } from '../parts/when-field.tsx';
import { byName } from '../state/by-name.ts';
import { emptyForm, keepPhotos, keptPhotos, typedIn } from '../state/form-values.ts';
import { ACTIONS, type DoneBegun, logVisitAgain, type ShownEntry, showKept, wordOf } from '../state/log-view.ts';
import { NO_ROOM, type What, write } from '../state/outbox.ts';
import { msOfSite, siteTime } from '../state/site-time.ts';
import { chosenSeparator, rememberDue, today } from '../state/upkeep.ts';
import { say, voice } from '../state/voice.ts';
import { nameOf, units, yard } from '../state/yard.ts';
import { FormTrouble } from './form-trouble.tsx';
import { PhotoField } from './photos.tsx';

/** These happen to people, not to a place. */
const WITHOUT_PLACE: readonly Action[] = ['training', 'drill'];

const firstPlace = () => chosenSeparator.value?.id ?? yard.value?.map.structures[0]?.id ?? '';

/** Something that was done: pumped out, packs changed, swept and the like. */
export function DoneForm({ begun }: { begun: DoneBegun }) {
  const form = wordOf({ done: begun });
  const typed = typedIn(form);
  const action = ACTIONS.find((each) => each === typed.text('action', begun.action)) ?? 'pump-out';
  const at = typed.text('at', begun.at ?? firstPlace());
  const [opened] = useState(() => siteTime(Date.now()));
  const when = typed.text('when', opened);
  const litres = typed.number('litres');
  const [isWrong, setWrong] = useState(false);
  const note = typed.text('note');
  const photos = useSignal<readonly Blob[]>([]);
  useEffect(() => {
    void keptPhotos(form).then((kept) => {
      photos.value = [...kept, ...photos.value];
    });
  }, [form]);
  const hasPlace = !WITHOUT_PLACE.includes(action);
  const isPumpOut = action === 'pump-out';
  const atMs = msOfSite(when);
  const trouble = Number.isNaN(atMs)
    ? told('log-screen.write-time')
    : atMs > Date.now() + 60_000
      ? told('log-screen.in-future')
      : isPumpOut && isWrong
        ? told('log-screen.mend-number')
        : null;
  return (
    <ShortForm
      form={form}
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
          <select value={action} onChange={({ currentTarget }) => typed.type({ action: currentTarget.value })}>
            {ACTIONS.map((each) => (
              <option key={each} value={each}>
                {say(`log-screen.action-${each}`)}
              </option>
            ))}
          </select>
        </label>
        {hasPlace && <PlaceSelect at={at} onChange={(place) => typed.type({ at: place })} />}
        <WhenField when={when} onWhen={(time) => typed.type({ when: time })} />
        {isPumpOut && (
          <NumberField
            label={say('log-screen.taken-out', { units: units.value })}
            value={isWrong ? Number.NaN : litres}
            perUnit={units.value === 'us' ? LITRES_PER_GALLON : 1}
            isOptional
            isStrict
            most={1e6}
            onNumber={(number) => {
              setWrong(Number.isNaN(number));
              typed.type({ litres: Number.isNaN(number) ? undefined : number });
            }}
          />
        )}
      </div>
      <NoteField label={say('log-screen.anything-else')} note={note} onNote={(words) => typed.type({ note: words })} />
      <PhotoField
        photos={photos.value}
        onChange={(update) => {
          photos.value = update(photos.value);
          void keepPhotos(form, photos.value);
        }}
      />
    </ShortForm>
  );
}

/** Work that has to be done by a day: it stands among what is due until it is closed. */
export function WorkForm() {
  const form = wordOf('work');
  const typed = typedIn(form);
  const [due, note] = [typed.text('due'), typed.text('note')];
  return (
    <ShortForm
      form={form}
      words={say('log-screen.keep')}
      trouble={
        note.trim() === '' ? told('log-screen.write-what-to-do') : due === '' ? told('log-screen.write-by-when') : null
      }
      written={() => ({ kind: 'corrective', body: { due, note: note.trim() } })}
      kept={told('log-screen.work-kept')}
    >
      <NoteField label={say('log-screen.what-to-do')} note={note} onNote={(words) => typed.type({ note: words })} />
      <label class="note-field">
        {say('log-screen.by-when')}
        <input type="date" value={due} onInput={({ currentTarget }) => typed.type({ due: currentTarget.value })} />
      </label>
    </ShortForm>
  );
}

/** Work that was due and is done. */
export function CloseForm({ work: { id, due, note: what } }: { work: DueWork }) {
  const form = wordOf({ close: id });
  const typed = typedIn(form);
  const [closed, note] = [typed.text('closed', today.value), typed.text('note')];
  return (
    <ShortForm
      form={form}
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
        <input
          type="date"
          value={closed}
          onInput={({ currentTarget }) => typed.type({ closed: currentTarget.value })}
        />
      </label>
      <NoteField label={say('log-screen.anything-else')} note={note} onNote={(words) => typed.type({ note: words })} />
    </ShortForm>
  );
}

/** Nothing in the log book is changed: what was wrong is said in an entry of its own, and the old one stays. */
export function CorrectForm({ entry }: { entry: ShownEntry }) {
  const form = wordOf({ correct: entry.id });
  const typed = typedIn(form);
  const note = typed.text('note');
  const visit = entry.kind === 'visit' ? entry : null;
  const isAnew = typed.flag('isAnew', visit !== null);
  return (
    <ShortForm
      form={form}
      words={say('log-screen.keep-correction')}
      trouble={note.trim() === '' ? told('log-screen.write-wrong') : null}
      written={() => ({ kind: 'correction', body: { corrects: entry.id, note: note.trim() } })}
      kept={told('log-screen.entry-corrected', { seq: String(entry.seq) })}
      afterwards={isAnew && visit ? () => logVisitAgain(visit) : undefined}
    >
      <p class="quoted">{entryWords(entry, nameOf, voice.value)}</p>
      <p class="hint">{say('log-screen.entry-stays')}</p>
      <NoteField label={say('log-screen.what-was-wrong')} note={note} onNote={(words) => typed.type({ note: words })} />
      {visit && (
        <label class="one-spill">
          <input
            type="checkbox"
            checked={isAnew}
            onChange={({ currentTarget }) => typed.type({ isAnew: currentTarget.checked })}
          />
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
  form,
  words,
  trouble,
  written,
  photos = [],
  kept,
  afterwards,
  children,
}: {
  /** The word under which what is typed is kept. */
  form: string;
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
    if (!isSafe) return setShown(NO_ROOM);
    emptyForm(form);
    if (afterwards) afterwards();
    else showKept(kept);
  };
  return (
    <form class="log-form" onSubmit={submit} noValidate>
      {children}
      <NameField class="note-field" />
      <FormTrouble shown={shown} wrong={wrong} />
      <KeptNote afresh={typedIn(form).isBegun ? () => emptyForm(form) : undefined} />
      <button type="submit" class="big strong">
        {words}
      </button>
    </form>
  );
}
