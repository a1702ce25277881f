import cookie from '@fastify/cookie';
import type { FastifyInstance, FastifyRequest } from 'fastify';
import { type Told, told } from '../../catalogue/index.ts';
import { type LogBook, type People, StoreFault } from '../../store/index.ts';
import { hasCalendarKey } from './calendar-routes.ts';
import { AT_THIS_MACHINE, bearerOf, callerOf } from './caller.ts';
import { refused } from './problem-details.ts';
import { signOfRelay } from './relay.ts';
import { answerRelayPage } from './relay-page.ts';
import { leastRole, notSignedIn, refuseBelow, refuseBySession } from './roles.ts';
import type { SecurityLog } from './security-log.ts';
import { refuseOtherPages, refuseOtherSites } from './this-machine.ts';

export const HEALTH = '/api/health';

/** What decides who may ask: the people of the log book, and whether other machines can reach its server. */
export interface Access extends Pick<LogBook, 'people' | 'ping'> {
  isOpenToOthers: boolean;
  security: SecurityLog;
}

/** While there are no people, and only this machine can reach the server, whoever sits at it is a manager. */
const isUnlocked = async ({ people, isOpenToOthers }: Access) => !isOpenToOthers && (await people.isEmpty());

/** Whether a caller who was allowed before still is: signed in, or with no need to be. */
export const isStillAllowed = async (access: Access, request: FastifyRequest) =>
  (signOfRelay(request) === null && (await isUnlocked(access))) || (await callerOf(access.people, request)) !== null;

/** Refuses requests, for pages too, that another program passed on while nobody has to sign in, and requests that name two hosts. */
export function guardRequests(app: FastifyInstance, access: Access): void {
  app.addHook('onRequest', async (request, reply) => {
    // RFC 9112 §3.2: a proxy on the way may have used the other one.
    if (request.raw.rawHeaders.filter((word, at) => at % 2 === 0 && /^host$/i.test(word)).length > 1)
      throw refused('bad-request', told('server.two-hosts'), told('server.send-one'));
    const sign = signOfRelay(request);
    // The health route checks this itself, once the database has answered.
    if (sign === null || request.routeOptions.url === HEALTH) return;
    if ([request.url, request.routeOptions.url].some((path) => path?.startsWith('/api/'))) {
      if (await isUnlocked(access)) throw relayed(sign);
      return;
    }
    // A page is the same for everybody, so it is also given where the database does not answer.
    const isRefused = await access.ping().then(
      () => isUnlocked(access),
      () => false,
    );
    if (isRefused) return answerRelayPage(request, reply, sign);
  });
}

const relayed = (sign: Told) =>
  refused('relayed', told('server.relayed', { sign }), told('server.add-manager-or-here'));

/**
 * Whether the caller sits at this machine and need not sign in. Refuses pages of other sites and, while nobody has to sign
 * in, what another program passed on; a moment ago people may still have had to sign in.
 */
export async function isUnlockedFor(access: Access, request: FastifyRequest): Promise<boolean> {
  refuseOtherSites(request);
  if (!(await isUnlocked(access))) return false;
  const sign = signOfRelay(request);
  if (sign !== null) throw relayed(sign);
  refuseOtherPages(request);
  return true;
}

/** Finds out who makes a request to any route of a plugin, and refuses those who may not. */
export async function authenticate(app: FastifyInstance, access: Access): Promise<void> {
  const { people, security } = access;
  await app.register(cookie);
  app.decorateRequest('person', null);
  app.decorateRequest('session', null);
  app.addHook('onRequest', async (request) => {
    if (await isUnlockedFor(access, request)) {
      request.person = AT_THIS_MACHINE;
      return;
    }
    const caller = await callerOf(people, request);
    request.person = caller?.person ?? null;
    request.session = caller?.session ?? null;
    if (caller === null && bearerOf(request) !== null) {
      security.tell('token-refused', request);
      throw notSignedIn(told('server.no-token'), told('server.make-token'));
    }
    const { url: path = '' } = request.routeOptions;
    // A forgotten screen listens for events without end, and must not keep its session alive.
    if (request.session?.isStale && path !== '/api/events') await prolong(people, request.session.token);
    const least = leastRole(request.method, path);
    if (least === 'everybody' || (await hasCalendarKey(people, request))) return;
    refuseBelow(least, request.person);
    refuseBySession(path, request.session);
  });
  app.addHook('onResponse', async (request, { statusCode: status }) => {
    if (status !== 403 && status !== 429) return;
    const { name } = request.person ?? {};
    security.tell('request-refused', request, {
      name,
      method: request.method,
      route: request.routeOptions.url,
      status,
    });
  });
}

/** Renews a session. Where the log book cannot be written to it is left as it is, since reading still works. */
async function prolong(people: People, token: string): Promise<void> {
  await people.prolong(token).catch((error) => {
    if (!(error instanceof StoreFault)) throw error;
  });
}
