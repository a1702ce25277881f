import './log-strip.css';
import { entryWords } from '../../../words/index.ts';
import { divergedCopies } from '../state/diverged-copies.ts';
import { bookState, entries, mayWrite, waitingHere } from '../state/log-book.ts';
import { logVisit, openLog } from '../state/log-view.ts';
import { msOfSite, siteTime } from '../state/site-time.ts';
import { chosenSeparator } from '../state/upkeep.ts';
import { nameOf, units, yard } from '../state/yard.ts';

/** The day by the yard's clock, as the list has it. */
const dayOfEntry = (at: string) => (at.includes('T') ? siteTime(msOfSite(at)) : at).slice(0, 10);

/** The log book along the foot of a desk: what was written last, and the way in. */
export function LogStrip() {
  if (!yard.value) return null;
  const last = entries.value.at(-1);
  const count = entries.value.length;
  const waits = waitingHere.value.length;
  return (
    <footer class="log-strip">
      <button type="button" class="quiet" onClick={() => openLog('list')}>
        Log book
      </button>
      <p>
        {count > 0 && <strong>{`${count} ${count === 1 ? 'entry' : 'entries'}. `}</strong>}
        {last
          ? `${dayOfEntry(last.at)}: ${entryWords(last, nameOf, units.value)}`
          : bookState.value === 'sign-in'
            ? 'Sign in to read it.'
            : bookState.value === 'none'
              ? 'There is no log book on this host.'
              : 'Nothing has been written down for this yard yet.'}
        {waits > 0 && ` (${waits} not sent yet)`}
        {divergedCopies.value.length > 0 && '. It does not go on from what this device has read.'}
      </p>
      {mayWrite.value && (
        <button type="button" class="quiet" onClick={() => void logVisit(chosenSeparator.value?.id)}>
          Log a visit
        </button>
      )}
    </footer>
  );
}
