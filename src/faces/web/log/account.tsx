import './account.css';
import { useSignal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import type { Role } from '../../../store/index.ts';
import { AskingForm } from '../parts/asking-form.tsx';
import { BookNote } from '../parts/book-note.tsx';
import { NewPasswordForm } from '../parts/new-password.tsx';
import {
  endOtherSessions,
  endSession,
  endToken,
  listSessions,
  listTokens,
  makeToken,
  ROLES_UP_TO,
} from '../state/account.ts';
import type { ShownSession, ShownToken } from '../state/forms.ts';
import { mustChangePassword, person } from '../state/session.ts';
import { agentWords } from './agent-words.ts';

/** What who is signed in does for themselves: another password, where they are signed in, tokens for programs. */
export function Account() {
  const said = useSignal('');
  /** Lists of sessions are read anew when one of them, or the password, changed. */
  const changes = useSignal(0);
  const onChange = () => {
    changes.value++;
  };
  const who = person.value;
  if (!who || mustChangePassword.value) return <BookNote />;
  return (
    <div class="account">
      <p>{`Signed in as ${who.name} (${who.role}).`}</p>
      <h2>Where you are signed in</h2>
      <Sessions key={`me ${changes.value}`} of="me" onChange={onChange} />
      {who.role === 'manager' && (
        <details class="account-others">
          <summary>Everybody who is signed in</summary>
          <Sessions key={`everybody ${changes.value}`} of="everybody" onChange={onChange} />
        </details>
      )}
      <h2>Password</h2>
      <NewPasswordForm
        onDone={() => {
          said.value = 'Your password is changed. You are signed out everywhere else; tokens go on.';
          onChange();
        }}
      />
      <p class="hint" role="status">
        {said.value}
      </p>
      <h2>Tokens</h2>
      <Tokens role={who.role} />
    </div>
  );
}

/** "3 November, 14:05" of a time, on this device's own clock. */
const TIME = new Intl.DateTimeFormat('en-GB', { day: 'numeric', month: 'long', hour: '2-digit', minute: '2-digit' });
const timeWords = (iso: string) => TIME.format(new Date(iso)).replace(' at ', ', ');

function Sessions({ of, onChange }: { of: 'me' | 'everybody'; onChange: () => void }) {
  const sessions = useSignal<readonly ShownSession[]>([]);
  const trouble = useSignal<string | null>(null);
  const read = async () => {
    const answer = await listSessions(of);
    if ('done' in answer) sessions.value = answer.done;
    else trouble.value = answer.trouble;
  };
  const end = async (work: Promise<string | null>) => {
    trouble.value = await work;
    if (trouble.value === null && person.value) onChange();
  };
  useEffect(() => void read(), [of]);
  return (
    <>
      <ul class="account-list">
        {sessions.value.map((session) => {
          const browser = agentWords(session.agent);
          const name = of === 'everybody' ? `${session.name}, ${browser}` : browser;
          return (
            <li key={session.id}>
              <p>
                <strong>{name}</strong>
                {session.isThis && ' (here)'}
                <span>{`Since ${timeWords(session.began)}, last used ${timeWords(session.seen)}`}</span>
              </p>
              <button type="button" aria-label={`Sign out ${name}`} onClick={() => void end(endSession(session))}>
                Sign out
              </button>
            </li>
          );
        })}
      </ul>
      {of === 'me' && sessions.value.length > 1 && (
        <button type="button" onClick={() => void end(endOtherSessions())}>
          Sign out everywhere else
        </button>
      )}
      <div aria-live="polite">{trouble.value && <p class="form-errors">{trouble.value}</p>}</div>
    </>
  );
}

function Tokens({ role }: { role: Role }) {
  const tokens = useSignal<readonly ShownToken[]>([]);
  const trouble = useSignal<string | null>(null);
  const made = useSignal<{ name: string; text: string } | null>(null);
  const read = async () => {
    const answer = await listTokens();
    if ('done' in answer) tokens.value = answer.done;
    else trouble.value = answer.trouble;
  };
  const make = async (form: HTMLFormElement) => {
    const fields = new FormData(form);
    const name = String(fields.get('name')).trim();
    const wanted = ROLES_UP_TO[role].find((each) => each === fields.get('role')) ?? 'viewer';
    const answer = await makeToken(name, wanted);
    made.value = 'done' in answer ? { name, text: answer.done } : null;
    if (!('done' in answer)) return answer.trouble;
    form.reset();
    await read();
    return null;
  };
  useEffect(() => void read(), []);
  return (
    <>
      <p class="hint">
        A token lets a program read or write the log book for you. What it writes carries your name. It ends when you
        are removed, or get a new password from a manager.
      </p>
      {made.value && <MadeToken {...made.value} />}
      <ul class="account-list">
        {tokens.value.map((token) => (
          <li key={token.name}>
            <p>
              <strong>{token.name}</strong>
              <span>{`${token.role}, made ${timeWords(token.made)}`}</span>
            </p>
            <EndToken
              name={token.name}
              end={async () => {
                trouble.value = await endToken(token.name);
                if (made.value?.name === token.name) made.value = null;
                await read();
              }}
            />
          </li>
        ))}
      </ul>
      <div aria-live="polite">{trouble.value && <p class="form-errors">{trouble.value}</p>}</div>
      <AskingForm label="Make a token" words="Make a token" asking="Making …" ask={make}>
        <div class="fields">
          <label>
            What it is for
            <input name="name" maxLength={100} required autocomplete="off" />
          </label>
          <label>
            May do as
            <select name="role">
              {ROLES_UP_TO[role].map((each) => (
                <option key={each} value={each}>
                  {each}
                </option>
              ))}
            </select>
          </label>
        </div>
      </AskingForm>
    </>
  );
}

/** The text of a token that was just made, to be copied now or never. */
function MadeToken({ name, text }: { name: string; text: string }) {
  return (
    <div class="made-token" role="status">
      <p>{`The token “${name}”. Copy it now: it is not shown again.`}</p>
      <input
        aria-label={`Token ${name}`}
        value={text}
        readOnly
        onFocus={({ currentTarget }) => currentTarget.select()}
      />
    </div>
  );
}

/** Ends a token at the second press: the program that has it stops at once. */
function EndToken({ name, end }: { name: string; end: () => Promise<void> }) {
  const isAsked = useSignal(false);
  return (
    <button
      type="button"
      aria-label={isAsked.value ? `End ${name} for good` : `End ${name}`}
      onBlur={() => {
        isAsked.value = false;
      }}
      onClick={() => {
        if (isAsked.value) void end();
        else isAsked.value = true;
      }}
    >
      {isAsked.value ? 'End for good' : 'End'}
    </button>
  );
}
