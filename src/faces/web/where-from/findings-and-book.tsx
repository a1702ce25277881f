import { countInBook, notInBook, takeFromBook, writeIntoBook } from '../state/findings-and-book.ts';
import { bookState } from '../state/log-book.ts';

const count = (number: number) => (number === 1 ? '1 finding' : `${number} findings`);

/** What was seen goes into the log book, and comes back out of it. */
export function FindingsAndBook() {
  const [here, there] = [notInBook.value.length, countInBook.value];
  if (!['here', 'away'].includes(bookState.value) || (here === 0 && there === 0)) return null;
  return (
    <div class="finding-acts">
      {there > 0 && (
        <button type="button" class="quiet" onClick={() => void takeFromBook()}>
          {`Ask about the log book’s ${count(there)}`}
        </button>
      )}
      {here > 0 && (
        <button type="button" class="quiet" onClick={() => void writeIntoBook()}>
          {`Keep ${here === 1 ? 'this finding' : `these ${count(here)}`} in the log book`}
        </button>
      )}
    </div>
  );
}
