import './notes.css';
import { useSignal } from '@preact/signals';
import { dropCopy } from '../state/book-copies.ts';
import { type DivergedCopy, divergedCopies, saveCopy, sendBack, sentBack } from '../state/diverged-copies.ts';
import { mayKeepMaps } from '../state/log-book.ts';
import { clockTime, msOfSite, siteTime } from '../state/site-time.ts';
import { say } from '../state/voice.ts';

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
    <section class="copy-note" aria-label={say('parts.copy-label')}>
      <p>
        <strong>{headWords(each)}</strong> {moreWords(each)}
      </p>
      {!isForked && !mayKeepMaps.value && <p class="hint">{say('parts.copy-sign-in')}</p>}
      <div class="copy-acts">
        {!isForked && mayKeepMaps.value && (
          <button type="button" class="strong" onClick={() => void sendBack(each)}>
            {say('parts.copy-send-back', { count: lacking })}
          </button>
        )}
        <button type="button" onClick={() => saveCopy(copy)}>
          {say('parts.copy-save')}
        </button>
        {!isAsking.value && (
          <button type="button" class="quiet" onClick={() => (isAsking.value = true)}>
            {say('parts.copy-throw')}
          </button>
        )}
      </div>
      {isAsking.value && (
        <div class="ending" role="alert">
          <p>{say('parts.copy-throw-ask', { count: copy.entries.length })}</p>
          <button type="button" onClick={() => dropCopy(copy)}>
            {say('parts.copy-throw')}
          </button>
          <button type="button" onClick={() => (isAsking.value = false)}>
            {say('parts.copy-keep')}
          </button>
        </div>
      )}
    </section>
  );
}

const headWords = ({ isForked, lacking }: DivergedCopy): string =>
  isForked ? say('parts.copy-forked') : say('parts.copy-lacks', { count: lacking });

function moreWords({ copy, common, isForked, bookLength }: DivergedCopy): string {
  const last = copy.entries[copy.entries.length - 1];
  const ms = msOfSite(last.received);
  const end = isForked ? common : bookLength;
  const values = {
    count: end,
    end: String(end),
    seq: String(last.seq),
    day: { day: siteTime(ms) },
    time: clockTime(ms),
  };
  return isForked ? say('parts.copy-differs', values) : say('parts.copy-ends', values);
}
