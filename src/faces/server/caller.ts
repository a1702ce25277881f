import type { FastifyReply, FastifyRequest } from 'fastify';
import { type People, type Person, SESSION_DAYS, type Session, THIS_MACHINE } from '../../store/index.ts';
import { isThisMachine } from './this-machine.ts';

declare module 'fastify' {
  interface FastifyRequest {
    /** Who asks; null where nobody is signed in. */
    person: Person | null;
    /** Their session, with its token; null where a program asks with a token of its own, or nobody signs in. */
    session: CallingSession | null;
  }
}

export type CallingSession = Session & { token: string };

/** Whoever sits at this machine, while nobody has to sign in. */
export const AT_THIS_MACHINE: Person = { name: THIS_MACHINE, role: 'manager' };

/** The name that is sealed into what somebody writes; null where nobody signs in. */
export const accountOf = (person: Person | null) => (person === AT_THIS_MACHINE ? null : (person?.name ?? null));

/** Who asks, by the token of a program or else by the session of a browser; null where nobody does. */
export async function callerOf(
  people: People,
  request: FastifyRequest,
): Promise<Pick<FastifyRequest, 'person' | 'session'> | null> {
  const bearer = bearerOf(request);
  if (bearer !== null) {
    const person = await people.tokenHolder(bearer);
    return person && { person, session: null };
  }
  const token = sessionToken(request);
  const session = token === undefined ? null : await people.session(token);
  return session && token !== undefined ? { person: session.person, session: { ...session, token } } : null;
}

/** The token that a program sends (RFC 6750); null where it sends none. Whatever else a proxy asks for there is not ours. */
export const bearerOf = ({ headers: { authorization = '' } }: FastifyRequest): string | null =>
  /^Bearer +(\S+) *$/i.exec(authorization)?.[1] ?? null;

/**
 * Over https the cookie's name is one that browsers take from this host alone, whole and over https (`__Host-`), and no other
 * is read, so that nobody plants one from beside or in plain. Browsers refuse it over http; at localhost other programs
 * share the host, some in plain.
 */
const isHostBound = ({ protocol, hostname }: FastifyRequest) => protocol === 'https' && !isThisMachine(hostname);
const cookieName = (request: FastifyRequest) => (isHostBound(request) ? '__Host-oilshed-session' : 'oilshed-session');

/** The token in a request's cookie. */
export const sessionToken = (request: FastifyRequest): string | undefined => request.cookies[cookieName(request)];

/** Sets the cookie with a session's token, which no script and no other site can read. */
export function setSessionCookie(request: FastifyRequest, reply: FastifyReply, token: string): void {
  const maxAge = SESSION_DAYS * 24 * 3600;
  void reply.setCookie(cookieName(request), token, { ...cookieFlags(request), maxAge });
}

export function clearSessionCookie(request: FastifyRequest, reply: FastifyReply): void {
  void reply.clearCookie(cookieName(request), cookieFlags(request));
}

const cookieFlags = ({ protocol }: FastifyRequest) =>
  ({ httpOnly: true, sameSite: 'strict', path: '/', secure: protocol === 'https' }) as const;
