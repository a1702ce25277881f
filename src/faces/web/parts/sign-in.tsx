import { hasPeople, person, signIn } from '../state/session.ts';
import { say } from '../state/voice.ts';
import { AskingForm } from './asking-form.tsx';
import { SignOut } from './sign-out.tsx';

/** Name and password, for whoever may write in the log book. */
export function SignIn() {
  const ask = (form: HTMLFormElement) => {
    const fields = new FormData(form);
    return signIn(String(fields.get('name')).trim(), String(fields.get('password')));
  };
  return (
    <AskingForm label={say('parts.sign-in')} words={say('parts.sign-in')} asking={say('parts.signing-in')} ask={ask}>
      <p class="hint">{say('parts.sign-in-hint')}</p>
      <div class="fields">
        <label class="wide">
          {say('parts.name')}
          <input name="name" autocomplete="username" spellcheck={false} maxLength={100} required />
        </label>
        <label class="wide">
          {say('parts.password')}
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
      <p>{say('parts.signed-in', { name: who.name, role: say('account.role', { role: who.role }) })}</p>
      <button type="button" class="quiet" onClick={onAccount}>
        {say('parts.your-account')}
      </button>
      <SignOut />
    </div>
  );
}
