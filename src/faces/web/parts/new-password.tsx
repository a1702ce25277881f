import { changePassword } from '../state/account.ts';
import { person } from '../state/session.ts';
import { say } from '../state/voice.ts';
import { AskingForm } from './asking-form.tsx';

/** The password there is and the one that shall be. `onDone` is told once it is. */
export function NewPasswordForm({ onDone }: { onDone?: () => void }) {
  const ask = async (form: HTMLFormElement) => {
    const fields = new FormData(form);
    const trouble = await changePassword(String(fields.get('password')), String(fields.get('new-password')));
    if (trouble !== null) return trouble;
    form.reset();
    showWritten(form, false);
    onDone?.();
    return null;
  };
  return (
    <AskingForm
      label={say('parts.change-password')}
      words={say('parts.change-password')}
      asking={say('parts.changing')}
      ask={ask}
    >
      {/* So that the browser keeps the new one under the right name. */}
      <input
        class="unseen"
        name="name"
        autocomplete="username"
        value={person.value?.name}
        readOnly
        tabIndex={-1}
        aria-hidden
      />
      <div class="fields">
        <label class="wide">
          {say('parts.password-now')}
          <input name="password" type="password" autocomplete="current-password" maxLength={1000} required />
        </label>
        <label class="wide">
          {say('parts.password-new')}
          <input
            name="new-password"
            type="password"
            autocomplete="new-password"
            maxLength={200}
            required
            aria-describedby="new-password-hint"
          />
        </label>
      </div>
      <p class="hint" id="new-password-hint">
        {say('parts.password-hint')}
      </p>
      <label class="one-spill">
        <input
          type="checkbox"
          onChange={({ currentTarget: { form, checked } }) => form && showWritten(form, checked)}
        />
        {say('parts.show-written')}
      </label>
    </AskingForm>
  );
}

function showWritten(form: HTMLFormElement, isShown: boolean): void {
  for (const field of form.querySelectorAll<HTMLInputElement>('[name$=password]'))
    field.type = isShown ? 'text' : 'password';
}

/** For whoever signed in with a password that is weaker than may be chosen by now: nothing else is answered before. */
export function NewPasswordFirst() {
  return (
    <div>
      <p class="book-note">{say('parts.password-first')}</p>
      <NewPasswordForm />
    </div>
  );
}
