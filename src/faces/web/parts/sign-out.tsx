import { useSignal } from '@preact/signals';
import { forgetBooks } from '../state/book-copies.ts';
import { entries } from '../state/log-book.ts';
import { signOut } from '../state/session.ts';
import { say } from '../state/voice.ts';

/** The way out. What this device has read of the log book stays on it, hidden, unless whoever leaves takes it away. */
export function SignOut() {
  const trouble = useSignal<string | null>(null);
  const isAsking = useSignal(false);
  const leave = async (isShared: boolean) => {
    isAsking.value = false;
    trouble.value = await signOut();
    if (isShared && trouble.value === null) await forgetBooks();
  };
  return (
    <>
      {!isAsking.value && (
        <button
          type="button"
          class="quiet"
          onClick={() => {
            if (entries.value.length === 0) void leave(false);
            else isAsking.value = true;
          }}
        >
          {say('parts.sign-out')}
        </button>
      )}
      {isAsking.value && (
        <div class="ending" role="alert">
          <p>{say('parts.sign-out-ask')}</p>
          <button type="button" onClick={() => void leave(false)}>
            {say('parts.sign-out')}
          </button>
          <button type="button" onClick={() => void leave(true)}>
            {say('parts.sign-out-clear')}
          </button>
          <button type="button" onClick={() => (isAsking.value = false)}>
            {say('parts.stay')}
          </button>
        </div>
      )}
      <p aria-live="polite">{trouble.value}</p>
    </>
  );
}
