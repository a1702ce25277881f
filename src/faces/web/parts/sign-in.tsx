import { hasPeople, person, signIn } from '../state/session.ts';
import { AskingForm } from './asking-form.tsx';
import { SignOut } from './sign-out.tsx';

/** Name and password, for whoever may write in the log book. */
export function SignIn() {
  const ask = (form: HTMLFormElement) => {
    const fields = new FormData(form);
    return signIn(String(fields.get('name')).trim(), String(fields.get('password')));
  };
  return (
    <AskingForm label="Sign in" words="Sign in" asking="Signing in …" ask={ask}>
      <p class="hint">Sign in to read the log book and write in it. A manager gives you name and password.</p>
      <div class="fields">
        <label class="wide">
          Name
          <input name="name" autocomplete="username" spellcheck={false} maxLength={100} required />
        </label>
        <label class="wide">
          Password
          <input name="password" type="password" autocomplete="current-password" maxLength={200} required />
        </label>
      </div>
    </AskingForm>
  );
}

/** Who is signed in, with the way to their account and the way out; nothing where nobody is, or nobody has to. */
export function SignedIn({ onAccount }: { onAccount: () => void }) {
  const who = person.value;
  if (!who || !hasPeople.value) return null;
  return (
    <div class="signed-in">
      <p>{`Signed in as ${who.name} (${who.role}).`}</p>
      <button type="button" class="quiet" onClick={onAccount}>
        Your account
      </button>
      <SignOut />
    </div>
  );
}
