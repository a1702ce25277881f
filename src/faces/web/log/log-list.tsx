import { useState } from 'preact/hooks';
import { dueWork, type Entry, noteOf, ofKind } from '../../../log-book/index.ts';
import { conditionWords, dayWords, dueWords, entryWords, writerWords } from '../../../words/index.ts';
import { BookNote } from '../parts/book-note.tsx';
import { CopyNotes } from '../parts/copy-notes.tsx';
import { SignedIn } from '../parts/sign-in.tsx';
import { bookState, entries, mayWrite, site, waitingHere } from '../state/log-book.ts';
import { justKept, logVisit, openLog, type ShownEntry } from '../state/log-view.ts';
import { forgetWaiting, sendAgain } from '../state/outbox.ts';
import { clockTime, msOfSite, siteTime, zoneSentence } from '../state/site-time.ts';
import { chosenSeparator, dueBefore, today, upkeep } from '../state/upkeep.ts';
import { say, voice } from '../state/voice.ts';
import { nameOf } from '../state/yard.ts';
import { BlobPhoto } from './photos.tsx';

const SHOWN_FIRST = 30;

/** What the log book has of this site, newest first, with a filter, and the ways to write into it. */
export function LogList() {
  const [kind, setKind] = useState<Entry['kind'] | ''>('');
  const [text, setText] = useState('');
  const [shown, setShown] = useState(SHOWN_FIRST);
  const all = entries.value;
  const numbers = new Map<string, number | undefined>(all.map(({ id, seq }) => [id, seq]));
  const nameIn = (id: string) => {
    const seq = numbers.get(id);
    if (seq !== undefined) return say('log-screen.entry-by-number', { seq: String(seq) });
    return numbers.has(id) ? say('log-screen.entry-waiting') : nameOf(id);
  };
  const wordsOf = (entry: ShownEntry) => entryWords(entry, nameIn, voice.value);
  const wanted = text.trim().toLowerCase();
  const found = [...all]
    .reverse()
    .filter(
      (entry) =>
        (kind === '' || entry.kind === kind) &&
        (wanted === '' ||
          `${wordsOf(entry)} ${writerWords(entry, (name) => name, voice.value)} ${entry.at}`
            .toLowerCase()
            .includes(wanted)),
    );
  const kinds = [...new Set(all.map((entry) => entry.kind))];
  return (
    <>
      <KeptNote />
      {mayWrite.value && (
        <div class="log-acts">
          <button type="button" class="strong" onClick={() => void logVisit(chosenSeparator.value?.id)}>
            {say('log-screen.log-a-visit')}
          </button>
          <button type="button" onClick={() => openLog({ done: {} })}>
            {say('log-screen.log-done')}
          </button>
          <button type="button" onClick={() => openLog('work')}>
            {say('log-screen.log-work')}
          </button>
        </div>
      )}
      <CopyNotes />
      <BookNote />
      {all.length > 0 && (
        <div class="log-filter">
          <label>
            <span class="unseen">{say('log-screen.kind-label')}</span>
            <select
              value={kind}
              onChange={({ currentTarget: { value } }) => setKind(kinds.find((each) => each === value) ?? '')}
            >
              <option value="">{say('log-screen.every-kind')}</option>
              {kinds.map((each) => (
                <option key={each} value={each}>
                  {say(`log-screen.kind-${each}`)}
                </option>
              ))}
            </select>
          </label>
          <label>
            <span class="unseen">{say('log-screen.search-label')}</span>
            <input
              type="search"
              placeholder={say('log-screen.search-label')}
              value={text}
              onInput={({ currentTarget }) => setText(currentTarget.value)}
            />
          </label>
        </div>
      )}
      <p class="hint" role="status">
        {all.length === 0
          ? bookState.value === 'here' && say('log-screen.nothing-yet')
          : found.length === all.length
            ? ''
            : say('log-screen.some-of-all', { found: found.length, all: all.length })}
      </p>
      <ol class="entries">
        {found.slice(0, shown).map((entry) => (
          <EntryRow key={entry.id} entry={entry} words={wordsOf(entry)} />
        ))}
      </ol>
      {found.length > shown && (
        <button type="button" class="more" onClick={() => setShown(shown + SHOWN_FIRST)}>
          {say('log-screen.show-more', { count: found.length - shown })}
        </button>
      )}
      {all.length > 0 && (
        <p class="hint">{`${say('log-screen.called-here', { site: site.value })} ${zoneSentence(Date.now())}`}</p>
      )}
      <SignedIn onAccount={() => openLog('account')} />
    </>
  );
}

/** What was kept, and how the next visit moved by it. */
function KeptNote() {
  const kept = justKept.value;
  if (kept === null) return null;
  const before = dueBefore.value;
  const now = before && upkeep.value?.visits.find(({ id }) => id === before.id)?.due;
  const next = before && now ? { place: nameOf(before.id), day: dayWords(now, today.value, voice.value) } : null;
  return (
    <p class="kept-note" role="status">
      <strong>{voice.value.tell(kept)}</strong>{' '}
      {before &&
        next &&
        (now === before.due
          ? say('log-screen.next-visit', next)
          : say('log-screen.next-visit-moved', { ...next, before: dayWords(before.due, today.value, voice.value) }))}
      {bookState.value !== 'here' && ` ${say('log-screen.waits-here')}`}
    </p>
  );
}

/** "May 30, 2026, 14:05", by the yard's clock. */
function timeWords(at: string): string {
  const ms = msOfSite(at);
  if (!at.includes('T') || Number.isNaN(ms)) return voice.value.text({ day: at });
  return say('log-screen.day-and-time', { day: { day: siteTime(ms) }, time: clockTime(ms) });
}

function EntryRow({ entry, words }: { entry: ShownEntry; words: string }) {
  const [isOpen, setOpen] = useState(false);
  const { id, seq, at, kind, photos = [] } = entry;
  const waits = waitingHere.value.find((each) => each.entry.id === id);
  const photoWords = (place: number, count: number) =>
    say('log-screen.photo-of-entry', { at: place + 1, count, words });
  const correction = ofKind(entries.value, 'correction').find(({ body }) => body.corrects === id);
  return (
    <li class={correction ? 'entry corrected' : 'entry'}>
      <p class="entry-when">
        <span>{timeWords(at)}</span>
        <span>{writerWords(entry, (name) => name, voice.value)}</span>
        <span>{seq === undefined ? '' : say('log-screen.entry-number', { seq: String(seq) })}</span>
        {waits && <em>{say(waits.problems ? 'log-screen.refused' : 'log-screen.not-sent')}</em>}
        {correction && (
          <em>
            {correction.seq === undefined
              ? say('log-screen.corrected-by-one')
              : say('log-screen.corrected-by-number', { seq: String(correction.seq) })}
          </em>
        )}
      </p>
      <p class="entry-words">{words}</p>
      {waits?.problems && (
        <div class="form-errors">
          {waits.problems.map(({ field, message, cure }) => (
            <p key={`${field} ${voice.value.text(message)}`}>
              {field === null
                ? say('log-screen.problem-in-entry', { message, cure })
                : say('log-screen.problem-in-field', { field, message, cure })}
            </p>
          ))}
          <div class="finding-acts">
            <button type="button" class="quiet" onClick={() => sendAgain(waits)}>
              {say('log-screen.send-again')}
            </button>
            <button type="button" class="quiet" onClick={() => forgetWaiting(id)}>
              {say('log-screen.throw-away')}
            </button>
          </div>
        </div>
      )}
      {(photos.length > 0 || (waits?.photos.length ?? 0) > 0) && (
        <ul class="photos">
          {photos.map((name, place) => (
            <li key={name}>
              <a href={`api/photos/${name}`} target="_blank" rel="noopener">
                <img src={`api/photos/${name}`} alt={photoWords(place, photos.length)} loading="lazy" />
              </a>
            </li>
          ))}
          {seq === undefined &&
            waits?.photos.map((photo, place) => (
              <li key={`${place} ${photo.size}`}>
                <BlobPhoto photo={photo} words={photoWords(place, waits.photos.length)} />
              </li>
            ))}
        </ul>
      )}
      <details class="entry-more" onToggle={({ currentTarget }) => setOpen(currentTarget.open)}>
        <summary>{say('log-screen.more')}</summary>
        {isOpen && <EntryFacts entry={entry} />}
        {isOpen && mayWrite.value && seq !== undefined && !correction && kind !== 'correction' && (
          <button type="button" class="quiet" onClick={() => openLog({ correct: entry.id })}>
            {say('log-screen.correct-it')}
          </button>
        )}
      </details>
    </li>
  );
}

/** Everything that was looked at, and what the entry is held by. */
function EntryFacts({ entry }: { entry: ShownEntry }) {
  const { hash, received } = entry;
  const condition = entry.kind === 'visit' ? entry.body.condition : undefined;
  const note = noteOf(entry);
  const [due] = dueWork([entry]);
  return (
    <dl>
      {condition &&
        conditionWords(condition, voice.value).map(({ label, value }) => (
          <div key={label}>
            <dt>{label}</dt>
            <dd>{value}</dd>
          </div>
        ))}
      {note !== undefined && (
        <div>
          <dt>{say('log-screen.note')}</dt>
          <dd>{note}</dd>
        </div>
      )}
      {due && (
        <div>
          <dt>{say('log-screen.due')}</dt>
          <dd>{dueWords(due.due, today.value, voice.value)}</dd>
        </div>
      )}
      {received && (
        <div>
          <dt>{say('log-screen.taken-in')}</dt>
          <dd>{timeWords(received)}</dd>
        </div>
      )}
      {hash && (
        <div>
          <dt>{say('log-screen.hash')}</dt>
          <dd class="hash">{hash}</dd>
        </div>
      )}
    </dl>
  );
}
