import { useState } from 'preact/hooks';
import { dueWork, type Entry, noteOf, ofKind } from '../../../log-book/index.ts';
import { conditionWords, dayWords, dueWords, entryWords, shortDay, writerWords } from '../../../words/index.ts';
import { BookNote } from '../parts/book-note.tsx';
import { CopyNotes } from '../parts/copy-notes.tsx';
import { SignedIn } from '../parts/sign-in.tsx';
import { bookState, entries, mayWrite, site, waitingHere } from '../state/log-book.ts';
import { justKept, logVisit, openLog, type ShownEntry } from '../state/log-view.ts';
import { forgetWaiting, sendAgain } from '../state/outbox.ts';
import { clockTime, msOfSite, siteTime, zoneSentence } from '../state/site-time.ts';
import { chosenSeparator, dueBefore, today, upkeep } from '../state/upkeep.ts';
import { voice } from '../state/voice.ts';
import { nameOf, units } from '../state/yard.ts';
import { BlobPhoto } from './photos.tsx';

const KIND_WORDS: Readonly<Record<Entry['kind'], string>> = {
  visit: 'Visits',
  finding: 'Findings',
  spill: 'Spills',
  action: 'Things done',
  corrective: 'Work to do',
  sample: 'Samples',
  correction: 'Corrections',
  map: 'Maps',
  investigation: 'Searches for a source',
  round: 'Rounds',
  rain: 'Rain',
  assessment: 'Storm water looked at',
  'link-test': 'Pipes tested',
  order: 'Orders',
  unfit: 'In a form not known here',
};
const SHOWN_FIRST = 30;

/** What the log book has of this site, newest first, with a filter, and the ways to write into it. */
export function LogList() {
  const [kind, setKind] = useState<Entry['kind'] | ''>('');
  const [text, setText] = useState('');
  const [shown, setShown] = useState(SHOWN_FIRST);
  const all = entries.value;
  const numbers = new Map<string, number | undefined>(all.map(({ id, seq }) => [id, seq]));
  const nameIn = (id: string) => (numbers.has(id) ? `entry ${numbers.get(id) ?? ''}`.trim() : nameOf(id));
  const wordsOf = (entry: ShownEntry) => entryWords(entry, nameIn, units.value);
  const wanted = text.trim().toLowerCase();
  const found = [...all]
    .reverse()
    .filter(
      (entry) =>
        (kind === '' || entry.kind === kind) &&
        (wanted === '' || `${wordsOf(entry)} ${writerWords(entry)} ${entry.at}`.toLowerCase().includes(wanted)),
    );
  const kinds = [...new Set(all.map((entry) => entry.kind))];
  return (
    <>
      <KeptNote />
      {mayWrite.value && (
        <div class="log-acts">
          <button type="button" class="strong" onClick={() => void logVisit(chosenSeparator.value?.id)}>
            Log a visit
          </button>
          <button type="button" onClick={() => openLog({ done: {} })}>
            Something done
          </button>
          <button type="button" onClick={() => openLog('work')}>
            Work to do
          </button>
        </div>
      )}
      <CopyNotes />
      <BookNote />
      {all.length > 0 && (
        <div class="log-filter">
          <label>
            <span class="unseen">Kind</span>
            <select
              value={kind}
              onChange={({ currentTarget: { value } }) => setKind(kinds.find((each) => each === value) ?? '')}
            >
              <option value="">Everything</option>
              {kinds.map((each) => (
                <option key={each} value={each}>
                  {KIND_WORDS[each]}
                </option>
              ))}
            </select>
          </label>
          <label>
            <span class="unseen">Words in it</span>
            <input
              type="search"
              placeholder="Words in it"
              value={text}
              onInput={({ currentTarget }) => setText(currentTarget.value)}
            />
          </label>
        </div>
      )}
      <p class="hint" role="status">
        {all.length === 0
          ? bookState.value === 'here' && 'Nothing has been written down for this yard yet.'
          : found.length === all.length
            ? ''
            : `${found.length} of ${all.length} entries.`}
      </p>
      <ol class="entries">
        {found.slice(0, shown).map((entry) => (
          <EntryRow key={entry.id} entry={entry} words={wordsOf(entry)} />
        ))}
      </ol>
      {found.length > shown && (
        <button type="button" class="more" onClick={() => setShown(shown + SHOWN_FIRST)}>
          {`Show more (${found.length - shown})`}
        </button>
      )}
      {all.length > 0 && (
        <p class="hint">{`In the log book this site is called ${site.value}. ${zoneSentence(Date.now())}`}</p>
      )}
      <SignedIn onAccount={() => openLog('account')} />
    </>
  );
}

/** What was kept, and how the next visit moved by it. */
function KeptNote() {
  if (justKept.value === '') return null;
  const before = dueBefore.value;
  const now = before && upkeep.value?.visits.find(({ id }) => id === before.id)?.due;
  const moved =
    before && now
      ? `Next visit of ${nameOf(before.id)}: ${dayWords(now, today.value)}${now === before.due ? '' : `, was ${dayWords(before.due, today.value)}`}.`
      : '';
  return (
    <p class="kept-note" role="status">
      <strong>{justKept.value}</strong> {moved}
      {bookState.value !== 'here' && ' It waits on this device until the log book has it.'}
    </p>
  );
}

/** "30 May 2026, 14:05", by the yard's clock. */
function timeWords(at: string): string {
  const ms = msOfSite(at);
  if (!at.includes('T') || Number.isNaN(ms)) return shortDay(at, true);
  return `${shortDay(siteTime(ms), true)}, ${clockTime(ms)}`;
}

function EntryRow({ entry, words }: { entry: ShownEntry; words: string }) {
  const [isOpen, setOpen] = useState(false);
  const { id, seq, at, kind, photos = [] } = entry;
  const waits = waitingHere.value.find((each) => each.entry.id === id);
  const correction = ofKind(entries.value, 'correction').find(({ body }) => body.corrects === id);
  return (
    <li class={correction ? 'entry corrected' : 'entry'}>
      <p class="entry-when">
        <span>{timeWords(at)}</span>
        <span>{writerWords(entry)}</span>
        <span>{seq === undefined ? '' : `no. ${seq}`}</span>
        {waits && <em>{waits.problems ? 'refused' : 'waits to be sent'}</em>}
        {correction && <em>{`corrected by ${correction.seq === undefined ? 'an entry' : `no. ${correction.seq}`}`}</em>}
      </p>
      <p class="entry-words">{words}</p>
      {waits?.problems && (
        <div class="form-errors">
          {waits.problems.map(({ field, message, cure }) => (
            <p
              key={`${field} ${message}`}
            >{`${field ?? 'It'}: ${voice.value.text(message)}; ${voice.value.text(cure)}.`}</p>
          ))}
          <div class="finding-acts">
            <button type="button" class="quiet" onClick={() => sendAgain(waits)}>
              Send it again
            </button>
            <button type="button" class="quiet" onClick={() => forgetWaiting(id)}>
              Throw it away
            </button>
          </div>
        </div>
      )}
      {(photos.length > 0 || (waits?.photos.length ?? 0) > 0) && (
        <ul class="photos">
          {photos.map((name, place) => (
            <li key={name}>
              <a href={`api/photos/${name}`} target="_blank" rel="noopener">
                <img src={`api/photos/${name}`} alt={`${place + 1} of ${photos.length}: ${words}`} loading="lazy" />
              </a>
            </li>
          ))}
          {seq === undefined &&
            waits?.photos.map((photo, place) => (
              <li key={`${place} ${photo.size}`}>
                <BlobPhoto photo={photo} words={`${place + 1} of ${waits.photos.length}: ${words}`} />
              </li>
            ))}
        </ul>
      )}
      <details class="entry-more" onToggle={({ currentTarget }) => setOpen(currentTarget.open)}>
        <summary>More</summary>
        {isOpen && <EntryFacts entry={entry} />}
        {isOpen && mayWrite.value && seq !== undefined && !correction && kind !== 'correction' && (
          <button type="button" class="quiet" onClick={() => openLog({ correct: entry })}>
            Correct it
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
        conditionWords(condition, units.value).map(({ label, value }) => (
          <div key={label}>
            <dt>{label}</dt>
            <dd>{value}</dd>
          </div>
        ))}
      {note !== undefined && (
        <div>
          <dt>Note</dt>
          <dd>{note}</dd>
        </div>
      )}
      {due && (
        <div>
          <dt>Due</dt>
          <dd>{dueWords(due.due, today.value)}</dd>
        </div>
      )}
      {received && (
        <div>
          <dt>Taken in</dt>
          <dd>{timeWords(received)}</dd>
        </div>
      )}
      {hash && (
        <div>
          <dt>Hash</dt>
          <dd class="hash">{hash}</dd>
        </div>
      )}
    </dl>
  );
}
