import './log-strip.css';
import { entryWords } from '../../../words/index.ts';
import { divergedCopies } from '../state/diverged-copies.ts';
import { bookState, entries, mayWrite, waitingHere } from '../state/log-book.ts';
import { logVisit, openLog } from '../state/log-view.ts';
import { msOfSite, siteTime } from '../state/site-time.ts';
import { chosenSeparator } from '../state/upkeep.ts';
import { say, voice } from '../state/voice.ts';
import { nameOf, yard } from '../state/yard.ts';

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
        {say('log-screen.title-list')}
      </button>
      <p>
        {count > 0 && <strong>{say('log-screen.entries', { count })}</strong>}{' '}
        {last
          ? say('log-screen.last-entry', {
              day: { day: dayOfEntry(last.at) },
              words: entryWords(last, nameOf, voice.value),
            })
          : say(
              bookState.value === 'sign-in'
                ? 'log-screen.sign-in-to-read'
                : bookState.value === 'none'
                  ? 'log-screen.no-book-here'
                  : 'log-screen.nothing-yet',
            )}
        {waits > 0 && ` ${say('log-screen.some-not-sent', { count: waits })}`}
        {divergedCopies.value.length > 0 && ` ${say('log-screen.does-not-go-on')}`}
      </p>
      {mayWrite.value && (
        <button type="button" class="quiet" onClick={() => void logVisit(chosenSeparator.value?.id)}>
          {say('log-screen.log-a-visit')}
        </button>
      )}
    </footer>
  );
}
