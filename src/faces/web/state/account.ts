import { capital } from '../../../catalogue/index.ts';
import type { Role } from '../../../store/index.ts';
import type { ShownSession, ShownToken } from './forms.ts';
import { said } from './replies.ts';
import { type Reply, request } from './request.ts';
import { refreshSession } from './session.ts';
import { say, voice } from './voice.ts';

/** What who is signed in does for themselves, at the log book. What went wrong comes back in a sentence or two. */

/** The answer of the log book, or why there is none. */
type Answer<T> = { done: T } | { trouble: string };

export const ROLES_UP_TO: Readonly<Record<Role, readonly Role[]>> = {
  viewer: ['viewer'],
  crew: ['viewer', 'crew'],
  manager: ['viewer', 'crew', 'manager'],
};

/** Gives oneself another password, and asks anew who is signed in: more may be allowed then. */
export async function changePassword(password: string, newPassword: string): Promise<string | null> {
  const reply = await send('PUT', 'api/password', { password, newPassword });
  if (reply.status !== 204) return await troubleOf(reply);
  await refreshSession();
  return null;
}

export async function listSessions(of: 'me' | 'everybody'): Promise<Answer<ShownSession[]>> {
  const reply = await send('GET', `api/sessions?of=${of}`);
  const list = reply.status === 200 ? await said(({ sessions }) => sessions, reply) : undefined;
  return list ? { done: list.sessions } : { trouble: await troubleOf(reply) };
}

/** Ends a session; where it is the one that asks, nobody is signed in here any more. */
export async function endSession({ id, isThis }: ShownSession): Promise<string | null> {
  const reply = await send('DELETE', `api/sessions/${encodeURIComponent(id)}`);
  if (isThis) await refreshSession();
  return reply.status === 204 || reply.status === 404 ? null : await troubleOf(reply);
}

export async function endOtherSessions(): Promise<string | null> {
  const reply = await send('DELETE', 'api/sessions');
  return reply.status === 200 ? null : await troubleOf(reply);
}

export async function listTokens(): Promise<Answer<ShownToken[]>> {
  const reply = await send('GET', 'api/tokens');
  const list = reply.status === 200 ? await said(({ tokens }) => tokens, reply) : undefined;
  return list ? { done: list.tokens } : { trouble: await troubleOf(reply) };
}

/** Makes a token; its text is in this answer and never again. */
export async function makeToken(name: string, role: Role): Promise<Answer<string>> {
  const reply = await send('POST', 'api/tokens', { name, role });
  const made = reply.status === 201 ? await said(({ token }) => token, reply) : undefined;
  return made ? { done: made.token } : { trouble: await troubleOf(reply) };
}

export async function endToken(name: string): Promise<string | null> {
  const reply = await send('DELETE', `api/tokens/${encodeURIComponent(name)}`);
  return reply.status === 204 || reply.status === 404 ? null : await troubleOf(reply);
}

function send(method: 'GET' | 'POST' | 'PUT' | 'DELETE', path: string, body?: object): Promise<Reply> {
  const headers = body && { 'content-type': 'application/json' };
  return request(path, { method, headers, body: body && JSON.stringify(body) });
}

/** "It has 8 characters; take one of 12 to 200 characters." */
async function troubleOf(reply: Reply): Promise<string> {
  const { status } = reply;
  if (status === 0) return say('account.unreached');
  if (status === 401) return say('account.signed-out');
  const { detail = say('account.book-no-reason') } = (await said(({ refusal }) => refusal, reply)) ?? {};
  return say('account.refused', { why: capital(detail, voice.value.locale) });
}
