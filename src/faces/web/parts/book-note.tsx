import './notes.css';
import { bookState, mayWrite, waitingHere } from '../state/log-book.ts';
import { sendWaiting } from '../state/outbox.ts';
import { mustChangePassword } from '../state/session.ts';
import { say } from '../state/voice.ts';
import { NewPasswordFirst } from './new-password.tsx';
import { SignIn } from './sign-in.tsx';

/** What a person must know of the log book before relying on it: that it does not answer, and what waits. */
export function BookNote() {
  const count = waitingHere.value.filter(({ problems }) => problems === null).length;
  if (mustChangePassword.value) return <NewPasswordFirst />;
  if (bookState.value === 'sign-in') return <SignIn />;
  const words = noteWords(count);
  return words === null ? null : (
    <p class="book-note" role="status">
      {words}
      {count > 0 && bookState.value !== 'none' && (
        <button type="button" class="quiet" onClick={() => void sendWaiting()}>
          {say('parts.send-now')}
        </button>
      )}
    </p>
  );
}

function noteWords(count: number): string | null {
  switch (bookState.value) {
    case 'away':
      return say('parts.book-away', { count });
    case 'none':
      return say('parts.book-none', { count });
    case 'here':
      if (count === 0) return null;
      return say(mayWrite.value ? 'parts.waits-being-sent' : 'parts.waits-for-writer', { count });
    default:
      return null;
  }
}
