import { useSignal } from '@preact/signals';
import { forgetBooks } from '../state/book-copies.ts';
import { entries } from '../state/log-book.ts';
import { signOut } from '../state/session.ts';

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
          Sign out
        </button>
      )}
      {isAsking.value && (
        <div class="ending" role="alert">
          <p>
            This device keeps what it has read of the log book, as a witness of it. It shows it to nobody before they
            sign in; but who can look into the browser’s own store can read it. Do others use this device?
          </p>
          <button type="button" onClick={() => void leave(false)}>
            Sign out
          </button>
          <button type="button" onClick={() => void leave(true)}>
            Sign out and clear it
          </button>
          <button type="button" onClick={() => (isAsking.value = false)}>
            Stay
          </button>
        </div>
      )}
      <p aria-live="polite">{trouble.value}</p>
    </>
  );
}
