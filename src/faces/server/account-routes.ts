import type { FastifyInstance, FastifyRequest } from 'fastify';
import type { ZodTypeProvider } from 'fastify-type-provider-zod';
import * as z from 'zod';
import { told } from '../../catalogue/index.ts';
import { type People, ROLES } from '../../store/index.ts';
import { type CallingSession, clearSessionCookie, setSessionCookie } from './caller.ts';
import type { PasswordChecks } from './password-checks.ts';
import { Refused, refusals, refused } from './problem-details.ts';
import { refuseBelow } from './roles.ts';
import type { SecurityLog } from './security-log.ts';

interface Parts {
  people: People;
  checks: PasswordChecks;
  security: SecurityLog;
}

/** What who is signed in does for themselves: another password, where they are signed in, tokens for programs. */
export function accountRoutes(app: FastifyInstance, parts: Parts): void {
  passwordRoute(app, parts);
  sessionsRoutes(app, parts);
  tokenRoutes(app, parts);
}

/** The session that asks. Routes here are not answered without one, by the table of roles. */
function sessionOf({ session }: FastifyRequest): CallingSession {
  if (session) return session;
  throw refused('not-allowed', told('server.nobody-signs-in'), told('server.add-manager-first'));
}

const passwords = z.object({ password: z.string().max(1000), newPassword: z.string().max(1000) });
const PASSWORDS_FORM = '{ "password": …, "newPassword": … }';

function passwordRoute(app: FastifyInstance, { people, checks, security }: Parts): void {
  app.withTypeProvider<ZodTypeProvider>().put(
    '/password',
    {
      schema: {
        operationId: 'changePassword',
        summary: 'Give oneself another password',
        description: 'Ends one’s other sessions; the answer has the cookie of the one that goes on. Tokens stay.',
        body: passwords,
        response: { 204: z.null(), ...refusals },
      },
    },
    async (request, reply) => {
      const { person } = sessionOf(request);
      if (!passwords.safeParse(request.body).success)
        throw refused(
          'bad-field',
          told('server.no-two-passwords'),
          told('server.write-two-texts', { form: PASSWORDS_FORM }),
        );
      const { password: now, newPassword: next } = request.body;
      const answer = await checks(request, reply, {
        name: person.name,
        work: () => people.changePassword(person.name, { now, next }, request.headers['user-agent']),
        isWrong: ({ accepted }) => accepted === null,
      });
      if (!answer?.accepted) {
        security.tell('password-change-refused', request, person);
        throw new Refused(answer?.problems ?? []);
      }
      security.tell('password-changed', request, person);
      setSessionCookie(request, reply, answer.accepted.token);
      return reply.status(204).send(null);
    },
  );
}

const sessions = z.object({
  sessions: z.array(
    z.object({
      id: z.string(),
      name: z.string().describe('who is signed in'),
      began: z.string(),
      seen: z.string().describe('when it was last used, within some minutes'),
      agent: z.string().describe('what the browser calls itself'),
      isThis: z.boolean().describe('whether it is the one that asks'),
    }),
  ),
});

function sessionsRoutes(app: FastifyInstance, { people, security }: Parts): void {
  const routes = app.withTypeProvider<ZodTypeProvider>();
  routes.get(
    '/sessions',
    {
      schema: {
        operationId: 'listSessions',
        summary: 'Where one is signed in; for a manager also where others are',
        querystring: z.object({ of: z.enum(['me', 'everybody']).default('me') }),
        response: { 200: sessions, ...refusals },
      },
    },
    async (request) => {
      const { id, person } = sessionOf(request);
      const isOfAll = request.query.of === 'everybody';
      if (isOfAll) refuseBelow('manager', person);
      const found = await people.sessions(isOfAll ? undefined : person.name);
      return { sessions: found.map((each) => ({ ...each, isThis: each.id === id })) };
    },
  );
  routes.delete(
    '/sessions',
    {
      schema: {
        operationId: 'endOtherSessions',
        summary: 'Sign out everywhere but here',
        response: { 200: z.object({ ended: z.number().int() }), ...refusals },
      },
    },
    async (request) => {
      const { id, person } = sessionOf(request);
      const ended = await people.endOtherSessions(person.name, id);
      security.tell('other-sessions-ended', request, person);
      return { ended };
    },
  );
  routes.delete(
    '/sessions/:id',
    {
      schema: {
        operationId: 'endSession',
        summary: 'End a session of one’s own; a manager ends those of others too',
        params: z.object({ id: z.string() }),
        response: { 204: z.null(), ...refusals },
      },
    },
    async (request, reply) => {
      const { id, person } = sessionOf(request);
      const whose = await people.endSession(request.params.id, person.role === 'manager' ? undefined : person.name);
      if (whose === null) throw refused('not-found', told('server.no-session'), told('server.see-which'));
      security.tell('session-ended', request, { ...person, of: whose });
      if (request.params.id === id) clearSessionCookie(request, reply);
      return reply.status(204).send(null);
    },
  );
}

const token = {
  name: z.string().describe('what it is called'),
  role: z.enum(ROLES).describe('what it may do; less where its person may do less by now'),
};
const TOKEN_FORM = '{ "name": …, "role": … }';
const listedToken = { ...token, made: z.string() };

function tokenRoutes(app: FastifyInstance, { people, security }: Parts): void {
  const routes = app.withTypeProvider<ZodTypeProvider>();
  routes.get(
    '/tokens',
    {
      schema: {
        operationId: 'listTokens',
        summary: 'One’s tokens, without their texts',
        response: { 200: z.object({ tokens: z.array(z.object(listedToken)) }), ...refusals },
      },
    },
    async (request) => {
      const found = await people.tokens(sessionOf(request).person.name);
      return { tokens: found.map(({ name, role, made }) => ({ name, role, made })) };
    },
  );
  routes.post(
    '/tokens',
    {
      schema: {
        operationId: 'makeToken',
        summary: 'Make a token for a program, with a role that is at most one’s own',
        description: 'Its text is in this answer and nowhere else. Programs send it as "Authorization: Bearer …".',
        body: z.object(token),
        response: { 201: z.object({ ...listedToken, token: z.string() }), ...refusals },
      },
    },
    async (request, reply) => {
      const { person } = sessionOf(request);
      if (!z.object(token).safeParse(request.body).success)
        throw refused(
          'bad-field',
          told('server.no-name-and-role'),
          told('server.write-name-and-role', { form: TOKEN_FORM, roles: ROLES.join(', ') }),
        );
      const { name, role } = request.body;
      const { accepted, problems } = await people.makeToken({ person: person.name, name, role }, person.name);
      if (!accepted) throw new Refused(problems);
      security.tell('token-made', request, { name: person.name, tokenName: name, role });
      return reply.status(201).send({ name, role, made: accepted.made, token: accepted.token });
    },
  );
  routes.delete(
    '/tokens/:name',
    {
      schema: {
        operationId: 'endToken',
        summary: 'End one of one’s tokens',
        params: z.object({ name: z.string() }),
        response: { 204: z.null(), ...refusals },
      },
    },
    async (request, reply) => {
      const { person } = sessionOf(request);
      const { name } = request.params;
      const { accepted } = await people.endToken({ person: person.name, name }, person.name);
      if (!accepted) throw refused('not-found', told('server.no-token-named'), told('server.see-which'));
      security.tell('token-ended', request, { name: person.name, tokenName: name });
      return reply.status(204).send(null);
    },
  );
}
