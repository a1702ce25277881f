import type { FastifyInstance } from 'fastify';
import type { ZodTypeProvider } from 'fastify-type-provider-zod';
import * as z from 'zod';
import { told } from '../../catalogue/index.ts';
import { type People, ROLES } from '../../store/index.ts';
import { AT_THIS_MACHINE, clearSessionCookie, sessionToken, setSessionCookie } from './caller.ts';
import type { PasswordChecks } from './password-checks.ts';
import { refusals, refused } from './problem-details.ts';
import { notSignedIn } from './roles.ts';
import type { SecurityLog } from './security-log.ts';

const nameAndPassword = z.object({ name: z.string().max(200), password: z.string().max(1000) });
const FORM = '{ "name": …, "password": … }';
const signedIn = {
  name: z.string(),
  role: z.enum(ROLES),
  mustChangePassword: z
    .boolean()
    .describe(
      'whether nothing else is allowed before a new password, since the one there is is weaker than may be chosen now',
    ),
};
const session = z.object({
  name: signedIn.name.nullable().describe('who asks; null where nobody is signed in'),
  role: signedIn.role.nullable(),
  mustChangePassword: signedIn.mustChangePassword,
  isSignInNeeded: z.boolean().describe('whether people sign in to this log book; if not, this machine alone asks'),
});

/** Signing in and out, and who is signed in. */
export function sessionRoutes(
  app: FastifyInstance,
  { people, checks, security }: { people: People; checks: PasswordChecks; security: SecurityLog },
): void {
  const routes = app.withTypeProvider<ZodTypeProvider>();
  routes.post(
    '/session',
    {
      schema: {
        operationId: 'signIn',
        summary: 'Sign in: the answer has a cookie that stands for the session',
        body: nameAndPassword,
        response: { 201: z.object(signedIn), ...refusals },
      },
    },
    async (request, reply) => {
      // What is wrong with a password is said without repeating it.
      if (!nameAndPassword.safeParse(request.body).success)
        throw refused('bad-field', told('server.no-name-and-password'), told('server.write-two-texts', { form: FORM }));
      const { name, password } = request.body;
      const from = { agent: request.headers['user-agent'], instead: sessionToken(request) };
      const begun = await checks(request, reply, {
        name,
        work: () => people.signIn(name, password, from),
        isWrong: (answer) => answer === null,
      });
      if (!begun) {
        security.tell('sign-in-refused', request);
        throw notSignedIn(told('server.wrong-password'), told('server.try-or-ask'));
      }
      const { person, token, mustChangePassword } = begun;
      security.tell('signed-in', request, person);
      setSessionCookie(request, reply, token);
      return reply.status(201).send({ ...person, mustChangePassword });
    },
  );

  routes.get(
    '/session',
    { schema: { operationId: 'getSession', summary: 'Who is signed in', response: { 200: session, ...refusals } } },
    async (request) => ({
      name: request.person?.name ?? null,
      role: request.person?.role ?? null,
      mustChangePassword: request.session?.mustChangePassword ?? false,
      isSignInNeeded: request.person !== AT_THIS_MACHINE,
    }),
  );

  routes.delete(
    '/session',
    { schema: { operationId: 'signOut', summary: 'Sign out', response: { 204: z.null(), ...refusals } } },
    async (request, reply) => {
      if (request.session) {
        await people.signOut(request.session.token);
        security.tell('signed-out', request, request.session.person);
      }
      clearSessionCookie(request, reply);
      return reply.status(204).send(null);
    },
  );
}
