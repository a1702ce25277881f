import { signal } from '@preact/signals';
import type { EntryOf } from '../../../log-book/index.ts';
import { NameField } from '../parts/name-field.tsx';
import { byName } from '../state/by-name.ts';
import { endClock, markSaved, now, running, stepsSaid } from '../state/clock.ts';
import { bookState, entries } from '../state/log-book.ts';
import { write } from '../state/outbox.ts';
import { block } from '../state/picked.ts';
import { saveFile } from '../state/save-file.ts';
import { standingOf, withdrawSpill } from '../state/shared-spill.ts';
import { clockTime, otherZone, zoneOfSite } from '../state/site-time.ts';
import { spillFacts } from '../state/spill.ts';
import { spillEntry } from '../state/spill-entry.ts';
import { say } from '../state/voice.ts';
import { yard } from '../state/yard.ts';

const two = (number: number) => String(number).padStart(2, '0');

/** "7:05", "1:02:09". */
export function stopwatch(ms: number): string {
  const seconds = Math.max(0, Math.floor(ms / 1000));
  const [hours, minutes] = [Math.floor(seconds / 3600), Math.floor(seconds / 60) % 60];
  return hours > 0 ? `${hours}:${two(minutes)}:${two(seconds % 60)}` : `${minutes}:${two(seconds % 60)}`;
}

/** How long a spill's clock has run; nothing before that. */
export function Timer() {
  const startedAt = running.value?.startedAt;
  return startedAt === undefined ? null : (
    <strong class="elapsed-time" role="timer">
      {stopwatch(now.value - startedAt)}
    </strong>
  );
}

/** Since when it runs, and that it is kept. */
export function Elapsed() {
  const startedAt = running.value?.startedAt;
  if (startedAt === undefined) return null;
  const [time, zone] = [clockTime(startedAt), otherZone(startedAt)];
  return (
    <p class="elapsed">
      {zone === null ? say('spill-screen.elapsed', { time }) : say('spill-screen.elapsed-zone', { time, zone })}
    </p>
  );
}

const isEnding = signal(false);

/** Saves the spill as an entry for the log book, and ends it. */
export function SaveSpill() {
  const spill = running.value;
  if (!spill) return null;
  const end = () => {
    isEnding.value = false;
    if (!spill.isSaved) withdrawSpill();
    endClock();
  };
  return (
    <section class="save-spill" aria-labelledby="save-spill">
      <h2 id="save-spill">{say('spill-screen.for-book')}</h2>
      <NameField />
      <button type="button" class="big strong" onClick={() => void save()}>
        {say('spill-screen.save')}
      </button>
      <p class="hint" role="status">
        {savedWords(spill.isSaved)}
      </p>
      {hasBook() && (
        <button type="button" class="quiet" onClick={saveAsFile}>
          {say('spill-screen.as-file')}
        </button>
      )}
      {isEnding.value ? (
        <div class="ending" role="alert">
          <p>{say(spill.isSaved ? 'spill-screen.end-asked' : 'spill-screen.end-unsaved')}</p>
          <button type="button" onClick={end}>
            {say('spill-screen.end-it')}
          </button>
          <button type="button" onClick={() => (isEnding.value = false)}>
            {say('spill-screen.go-on')}
          </button>
        </div>
      ) : (
        <button type="button" class="quiet" onClick={() => (isEnding.value = true)}>
          {say('spill-screen.end-spill')}
        </button>
      )}
    </section>
  );
}

/** Where there is no log book at this address, a spill is saved as a file for one. */
const hasBook = () => bookState.value !== 'none';

function savedWords(isSaved: boolean): string {
  if (!hasBook()) return say(isSaved ? 'spill-screen.saved-file' : 'spill-screen.will-save-file');
  return say(isSaved ? 'spill-screen.saved-book' : 'spill-screen.will-save-book');
}

/** The spill as an entry, as it stands now; null while there is none. */
function entryNow(): EntryOf<'spill'> | null {
  const [spill, facts, plan, open] = [running.value, spillFacts.value, block.value?.answer?.plan, yard.value];
  if (!spill || !facts || !plan || !open) return null;
  const { site } = open.map;
  return spillEntry(
    { ...spill, facts, plan, steps: stepsSaid.value },
    { site: { ...site, timeZone: zoneOfSite(site), name: site.name ?? open.fileName }, by: byName.value },
  );
}

/** Writes the spill into the log book; saved again, it takes the place of what was saved before. */
async function save(): Promise<void> {
  const [entry, spill, open] = [entryNow(), running.value, yard.value];
  if (!entry || !spill || !open) return;
  if (!hasBook()) {
    saveAsFile();
    return markSaved();
  }
  const { kind, body, by } = entry;
  const before = standingOf(entries.value, spill.id);
  const { isSafe } = await write(open, { kind, body: { ...body, spill: spill.id }, by, atMs: spill.startedAt });
  if (!isSafe) return saveAsFile();
  for (const corrects of before)
    await write(open, { kind: 'correction', body: { corrects, note: say('spill-screen.written-anew') }, by });
  markSaved();
}

function saveAsFile(): void {
  const entry = entryNow();
  if (!entry) return;
  const name = `spill-${entry.at.slice(0, 16).replace(/[T:]/g, '-')}.json`;
  saveFile(name, { type: 'application/json', text: `${JSON.stringify(entry, null, 2)}\n` });
}
