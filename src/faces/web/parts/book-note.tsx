import './notes.css';
import { bookState, mayWrite, waitingHere } from '../state/log-book.ts';
import { sendWaiting } from '../state/outbox.ts';
import { mustChangePassword } from '../state/session.ts';
import { NewPasswordFirst } from './new-password.tsx';
import { SignIn } from './sign-in.tsx';

/** What a person must know of the log book before relying on it: that it does not answer, and what waits. */
export function BookNote() {
  const count = waitingHere.value.filter(({ problems }) => problems === null).length;
  const waits = count === 0 ? '' : ` ${count === 1 ? 'One entry waits' : `${count} entries wait`} on this device.`;
  const words = {
    asking: '',
    here: count === 0 ? '' : mayWrite.value ? `Being sent.${waits}` : `Somebody who may write has to sign in.${waits}`,
    away: `The log book does not answer now. What you write is kept on this device and sent later.${waits}`,
    none: `There is no log book on this host, which hands out pages alone. What you write waits on this device until there is one (oilshed serve); a spill can be saved as a file.${waits}`,
    'sign-in': '',
  }[bookState.value];
  if (mustChangePassword.value) return <NewPasswordFirst />;
  if (bookState.value === 'sign-in') return <SignIn />;
  return words === '' ? null : (
    <p class="book-note" role="status">
      {words}
      {count > 0 && bookState.value !== 'none' && (
        <button type="button" class="quiet" onClick={() => void sendWaiting()}>
          Send now
        </button>
      )}
    </p>
  );
}
