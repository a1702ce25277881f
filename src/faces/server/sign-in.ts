import { setTimeout as sleep } from 'node:timers/promises';
import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import type { ZodTypeProvider } from 'fastify-type-provider-zod';
import * as z from 'zod';
import { type People, type Person, ROLES, SESSION_DAYS } from '../store/index.ts';
import { refusals, refused } from './problem-details.ts';
import { CROWDED, queue, queues } from './queue.ts';
import { signOfRelay } from './relay.ts';
import { notSignedIn } from './roles.ts';

declare module 'fastify' {
  interface FastifyRequest {
    /** Who asks; null where nobody is signed in. */
    person: Person | null;
  }
}

/** Whoever sits at this machine, while nobody has to sign in. */
export const AT_THIS_MACHINE: Person = { name: 'this machine', role: 'manager' };

/** The name that is sealed into what somebody writes; null where nobody signs in. */
export const accountOf = (person: Person | null) => (person === AT_THIS_MACHINE ? null : (person?.name ?? null));

const COOKIE = 'oilshed-session';
const TRIES_A_MINUTE = 10;
/** After a wrong password the next try for the same name waits so long, from wherever it comes. */
const WAIT_AFTER_WRONG_MS = 250;
/** So many passwords are checked at once, so that of the four threads that there are some are left for files. */
const CHECKED_AT_ONCE = 2;
/** So many more may wait for that, and so many for others of the same name; the rest are told to come back. */
const MOST_WAITING = 50;
const MOST_OF_NAME = 100;
const COME_BACK_S = 5;

/** The session that a request's cookie names; null where there is none. */
export async function sessionOf(people: People, { cookies }: FastifyRequest) {
  const token = cookies[COOKIE];
  const session = token ? await people.session(token) : null;
  return session && token ? { ...session, token } : null;
}

/** Hands the browser a session's token, for no script and no other site. */
export function giveToken(request: FastifyRequest, reply: FastifyReply, token: string): void {
  const maxAge = SESSION_DAYS * 24 * 3600;
  void reply.setCookie(COOKIE, token, { ...cookieFlags(request), maxAge });
}

const cookieFlags = ({ protocol }: FastifyRequest) =>
  ({ httpOnly: true, sameSite: 'strict', path: '/', secure: protocol === 'https' }) as const;

const nameAndPassword = z.object({ name: z.string().max(200), password: z.string().max(1000) });
const signedIn = { name: z.string(), role: z.enum(ROLES) };
const session = z.object({
  name: signedIn.name.nullable().describe('who asks; null where nobody is signed in'),
  role: signedIn.role.nullable(),
  isSignInNeeded: z.boolean().describe('whether people sign in to this log book; if not, this machine alone asks'),
});

/** Signing in and out, and who is signed in. */
export function sessionRoutes(app: FastifyInstance, people: People): void {
  const routes = app.withTypeProvider<ZodTypeProvider>();
  const refuseMany = manyTries(app);
  const toCheck = queue(CHECKED_AT_ONCE, MOST_WAITING);
  const ofName = queues(1, MOST_OF_NAME);

  routes.post(
    '/session',
    {
      schema: {
        summary: 'Sign in: the answer has a cookie that stands for the session',
        body: nameAndPassword,
        response: { 201: z.object(signedIn), ...refusals },
      },
    },
    async (request, reply) => {
      // What is wrong with a password is told without it.
      if (!nameAndPassword.safeParse(request.body).success)
        throw refused('bad-field', 'it is no name and password', 'write { "name": …, "password": … }, two texts');
      await refuseMany(request, reply);
      const { name, password } = request.body;
      const begun = await ofName(folded(name), async () => {
        if (request.raw.socket.destroyed) return null;
        const answer = await toCheck(() => people.signIn(name, password));
        if (answer === null) await sleep(WAIT_AFTER_WRONG_MS);
        return answer;
      });
      if (begun === CROWDED) {
        void reply.header('retry-after', String(COME_BACK_S));
        throw refused('too-many-tries', 'too many sign in at once', `try again in ${COME_BACK_S} seconds`);
      }
      if (!begun)
        throw notSignedIn('the name or the password is wrong', 'try again, or ask a manager for a new password');
      giveToken(request, reply, begun.token);
      return reply.status(201).send(begun.person);
    },
  );

  routes.get(
    '/session',
    { schema: { summary: 'Who is signed in', response: { 200: session, ...refusals } } },
    async ({ person }) => ({
      name: person?.name ?? null,
      role: person?.role ?? null,
      isSignInNeeded: person !== AT_THIS_MACHINE,
    }),
  );

  routes.delete(
    '/session',
    { schema: { summary: 'Sign out', response: { 204: z.null(), ...refusals } } },
    async (request, reply) => {
      const token = request.cookies[COOKIE];
      if (token) await people.signOut(token);
      void reply.clearCookie(COOKIE, cookieFlags(request));
      return reply.status(204).send(null);
    },
  );
}

const folded = (name: string) => name.normalize('NFKC').toLowerCase();

/**
 * Refuses more than so many tries a minute from an address, or an IPv6 network. This machine may try as it likes; what a
 * relay on it passes on may not.
 */
function manyTries(app: FastifyInstance) {
  const tried = app.createRateLimit({
    max: TRIES_A_MINUTE,
    timeWindow: 60_000,
    ipv6Subnet: 64,
    allowList: (request) => signOfRelay(request) === null,
  });
  return async (request: FastifyRequest, reply: FastifyReply) => {
    const answer = await tried(request);
    if (answer.isAllowed || !answer.isExceeded) return;
    void reply.header('retry-after', String(answer.ttlInSeconds));
    const message = `there were over ${TRIES_A_MINUTE} tries in a minute`;
    throw refused('too-many-tries', message, `wait ${answer.ttlInSeconds} seconds`);
  };
}
