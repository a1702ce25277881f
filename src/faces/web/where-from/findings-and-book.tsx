import { countInBook, notInBook, takeFromBook, writeIntoBook } from '../state/findings-and-book.ts';
import { bookState } from '../state/log-book.ts';
import { say } from '../state/voice.ts';

/** What was seen goes into the log book, and comes back out of it. */
export function FindingsAndBook() {
  const [here, there] = [notInBook.value.length, countInBook.value];
  if (!['here', 'away'].includes(bookState.value) || (here === 0 && there === 0)) return null;
  return (
    <div class="finding-acts">
      {there > 0 && (
        <button type="button" class="quiet" onClick={() => void takeFromBook()}>
          {say('where-from.ask-book', { count: there })}
        </button>
      )}
      {here > 0 && (
        <button type="button" class="quiet" onClick={() => void writeIntoBook()}>
          {say('where-from.keep-in-book', { count: here })}
        </button>
      )}
    </div>
  );
}
