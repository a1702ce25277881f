import { batch, computed, signal } from '@preact/signals';
import { told } from '../../../catalogue/index.ts';
import type { Person } from '../../../store/index.ts';
import { inOurLanguage } from './request.ts';
import { say } from './voice.ts';

const ADDRESS = 'api/session';

/** Whether there is a log book behind this page; null while nobody knows, as without a network. */
export const hasLogBook = signal<boolean | null>(import.meta.env.STATIC ? false : null);
/** Who writes in it; null where nobody is signed in, or nobody knows yet. Without a network it stays as it was. */
export const person = signal<Person | null>(null);
/** Whether people sign in to this log book; if not, whoever sits at its machine writes in it. */
export const hasPeople = signal(false);
/** Whether nothing else is answered before they choose another password. */
export const mustChangePassword = signal(false);
export const isSignInNeeded = computed(() => hasPeople.value && person.value === null);

/** Asks the log book who is signed in. */
export async function refreshSession(): Promise<void> {
  const reply = await send('GET');
  if (!reply || reply.status >= 500) return;
  const answer = reply.ok && (await jsonOf(reply));
  // Where pages alone are served there is nothing at the address, or a page.
  if (!answer) hasLogBook.value = false;
  else show(answer.name === null ? null : answer, answer.isSignInNeeded);
}

/** Signs in. Gives back what went wrong, in a sentence or two; null where it is done. */
export async function signIn(name: string, password: string): Promise<string | null> {
  const reply = await send('POST', { name, password });
  if (!reply) return say('account.unreached');
  const answer = await jsonOf(reply);
  if (reply.status === 201 && answer) {
    show(answer, true);
    return null;
  }
  if (reply.status === 401) return say('account.wrong-password');
  if (reply.status === 429)
    return say('account.too-many-tries', { seconds: Number(reply.headers.get('retry-after') ?? 60) });
  return failure(answer);
}

/** Signs out. Gives back what went wrong, in a sentence or two; null where it is done. */
export async function signOut(): Promise<string | null> {
  const reply = await send('DELETE');
  if (!reply) return say('account.unreached');
  if (!reply.ok) return failure(await jsonOf(reply));
  show(null, true);
  return null;
}

const failure = (answer: { detail?: string } | null) =>
  say('account.did-not-work', { why: answer?.detail ?? told('account.no-reason') });

function show(who: (Person & { mustChangePassword?: boolean }) | null, doPeopleSignIn: boolean): void {
  batch(() => {
    hasLogBook.value = true;
    person.value = who && { name: who.name, role: who.role };
    mustChangePassword.value = who?.mustChangePassword ?? false;
    hasPeople.value = doPeopleSignIn;
  });
}

/** What the server answers; null where it cannot be reached. */
async function send(method: 'GET' | 'POST' | 'DELETE', body?: object): Promise<Response | null> {
  const headers = inOurLanguage(body && { 'content-type': 'application/json' });
  try {
    return await fetch(ADDRESS, { method, headers, body: body && JSON.stringify(body) });
  } catch {
    return null;
  }
}

const jsonOf = (reply: Response) => reply.json().catch(() => null);
