import './account.css';
import { useSignal } from '@preact/signals';
import { useEffect } from 'preact/hooks';
import { isoTime } from '../../../site-map/index.ts';
import type { Role } from '../../../store/index.ts';
import { AskingForm } from '../parts/asking-form.tsx';
import { BookNote } from '../parts/book-note.tsx';
import { NewPasswordForm } from '../parts/new-password.tsx';
import { Rich } from '../parts/rich.tsx';
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
import { say, voice } from '../state/voice.ts';
import { agentWords } from './agent-words.ts';

/** What who is signed in does for themselves: another password, where they are signed in, tokens for programs. */
export function Account() {
  const isChanged = useSignal(false);
  /** Lists of sessions are read anew when one of them, or the password, changed. */
  const changes = useSignal(0);
  const onChange = () => {
    changes.value++;
  };
  const who = person.value;
  if (!who || mustChangePassword.value) return <BookNote />;
  return (
    <div class="account">
      <p>{say('account.signed-in-as', { name: who.name, role: who.role })}</p>
      <h2>{say('account.where')}</h2>
      <Sessions key={`me ${changes.value}`} of="me" onChange={onChange} />
      {who.role === 'manager' && (
        <details class="account-others">
          <summary>{say('account.everybody')}</summary>
          <Sessions key={`everybody ${changes.value}`} of="everybody" onChange={onChange} />
        </details>
      )}
      <h2>{say('account.password')}</h2>
      <NewPasswordForm
        onDone={() => {
          isChanged.value = true;
          onChange();
        }}
      />
      <p class="hint" role="status">
        {isChanged.value && say('account.password-changed')}
      </p>
      <h2>{say('account.tokens')}</h2>
      <Tokens role={who.role} />
    </div>
  );
}

/** "Nov 3, 2026, 14:05" of a time, on this device's own clock. */
function timeWords(iso: string): string {
  const here = isoTime(Date.parse(iso), Intl.DateTimeFormat().resolvedOptions().timeZone);
  return say('log-screen.day-and-time', { day: { day: here }, time: here.slice(11, 16) });
}

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
          const browser = agentWords(session.agent, voice.value);
          const name = of === 'everybody' ? say('account.name-and-browser', { name: session.name, browser }) : browser;
          return (
            <li key={session.id}>
              <p>
                {session.isThis ? (
                  <Rich as={{ b: 'strong' }} of={['account.browser-here', { browser: name }]} />
                ) : (
                  <strong>{name}</strong>
                )}
                <span>{say('account.since', { began: timeWords(session.began), seen: timeWords(session.seen) })}</span>
              </p>
              <button
                type="button"
                aria-label={say('account.sign-out-of', { browser: name })}
                onClick={() => void end(endSession(session))}
              >
                {say('account.sign-out')}
              </button>
            </li>
          );
        })}
      </ul>
      {of === 'me' && sessions.value.length > 1 && (
        <button type="button" onClick={() => void end(endOtherSessions())}>
          {say('account.sign-out-elsewhere')}
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
      <p class="hint">{say('account.token-hint')}</p>
      {made.value && <MadeToken {...made.value} />}
      <ul class="account-list">
        {tokens.value.map((token) => (
          <li key={token.name}>
            <p>
              <strong>{token.name}</strong>
              <span>{say('account.token-made', { role: token.role, when: timeWords(token.made) })}</span>
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
      <AskingForm
        label={say('account.make-token')}
        words={say('account.make-token')}
        asking={say('account.making')}
        ask={make}
      >
        <div class="fields">
          <label>
            {say('account.what-for')}
            <input name="name" maxLength={100} required autocomplete="off" />
          </label>
          <label>
            {say('account.may-do-as')}
            <select name="role">
              {ROLES_UP_TO[role].map((each) => (
                <option key={each} value={each}>
                  {say('account.role', { role: each })}
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
      <p>{say('account.token-copy', { name })}</p>
      <input
        aria-label={say('account.token', { name })}
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
      aria-label={say(isAsked.value ? 'account.end-named-for-good' : 'account.end-named', { name })}
      onBlur={() => {
        isAsked.value = false;
      }}
      onClick={() => {
        if (isAsked.value) void end();
        else isAsked.value = true;
      }}
    >
      {say(isAsked.value ? 'account.end-for-good' : 'account.end')}
    </button>
  );
}
