import './notes.css';
import { useSignal } from '@preact/signals';
import { shortDay } from '../../../words/index.ts';
import { dropCopy } from '../state/book-copies.ts';
import { type DivergedCopy, divergedCopies, saveCopy, sendBack, sentBack } from '../state/diverged-copies.ts';
import { mayKeepMaps } from '../state/log-book.ts';
import { clockTime, msOfSite, siteTime } from '../state/site-time.ts';
import { voice } from '../state/voice.ts';

/** Where the log book does not go on from what this device has read: what differs, and what can be done. */
export function CopyNotes() {
  return (
    <>
      {divergedCopies.value.map((each) => (
        <CopyNote key={each.copy.entries.at(-1)?.hash} diverged={each} />
      ))}
      <p class={sentBack.value === '' ? 'unseen' : 'kept-note'} role="status">
        {sentBack.value}
      </p>
    </>
  );
}

function CopyNote({ diverged: each }: { diverged: DivergedCopy }) {
  const isAsking = useSignal(false);
  const { copy, isForked, lacking } = each;
  return (
    <section class="copy-note" aria-label="What this device has read">
      <p>
        <strong>{headWords(each)}</strong> {moreWords(each)}
      </p>
      {!isForked && !mayKeepMaps.value && (
        <p class="hint">A manager can send them back from this device: sign in here as one.</p>
      )}
      <div class="copy-acts">
        {!isForked && mayKeepMaps.value && (
          <button type="button" class="strong" onClick={() => void sendBack(each)}>
            {lacking === 1 ? 'Send it back' : `Send the ${lacking} back`}
          </button>
        )}
        <button type="button" onClick={() => saveCopy(copy)}>
          Save this device’s copy
        </button>
        {!isAsking.value && (
          <button type="button" class="quiet" onClick={() => (isAsking.value = true)}>
            Throw it away
          </button>
        )}
      </div>
      {isAsking.value && (
        <div class="ending" role="alert">
          <p>{`Throw this copy of ${entriesWords(copy.entries.length)} away? No other device may have them.`}</p>
          <button type="button" onClick={() => dropCopy(copy)}>
            Throw it away
          </button>
          <button type="button" onClick={() => (isAsking.value = false)}>
            Keep it
          </button>
        </div>
      )}
    </section>
  );
}

const entriesWords = (count: number) => `${count} ${count === 1 ? 'entry' : 'entries'}`;

function headWords({ isForked, lacking }: DivergedCopy): string {
  return isForked
    ? 'The log book is not the one that this device has read.'
    : `The log book lacks ${entriesWords(lacking)} that this device has read.`;
}

function moreWords({ copy, common, isForked, bookLength }: DivergedCopy): string {
  const last = copy.entries[copy.entries.length - 1];
  const ms = msOfSite(last.received);
  const upTo = `up to no. ${last.seq}, taken in on ${shortDay(siteTime(ms), true, voice.value)}, ${clockTime(ms)}`;
  if (!isForked) {
    const ends = bookLength === 0 ? 'It has none' : `It ends with no. ${bookLength}`;
    return `${ends}; this device has read ${upTo}. It may have been restored from an older copy. This device keeps what it has read.`;
  }
  const same = common === 0 ? 'They have no entry in common' : `They are the same up to no. ${common}`;
  return `${same}; this device has read other entries after that, ${upTo}. The book was written anew, or restored and then written on, so nothing can be sent back. This device keeps its copy: save it, compare the two, and find out who changed the book.`;
}
