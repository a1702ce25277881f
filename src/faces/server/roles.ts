import { type Told, told } from '../../catalogue/index.ts';
import type { Entry } from '../../log-book/index.ts';
import { type Person, ROLES, type Role } from '../../store/index.ts';
import type { CallingSession } from './caller.ts';
import { refused } from './problem-details.ts';

/** Who may use each route: the least role, or everybody. A route that is not here is not served. */
const LEAST_ROLE: Record<string, Role | 'everybody'> = {
  'GET /*': 'everybody',
  'GET /api/health': 'everybody',
  'GET /api/openapi.json': 'everybody',
  'GET /api/session': 'everybody',
  'POST /api/session': 'everybody',
  'DELETE /api/session': 'everybody',
  'GET /api/entries': 'viewer',
  'GET /api/photos/:sha256': 'viewer',
  'GET /api/maps/:sha256': 'viewer',
  'GET /api/calendar.ics': 'viewer',
  'GET /api/calendar-address': 'viewer',
  'GET /api/events': 'viewer',
  'POST /api/entries': 'crew',
  'POST /api/photos': 'crew',
  'POST /api/maps': 'manager',
  'POST /api/entries/restore': 'manager',
  'PUT /api/password': 'viewer',
  'GET /api/sessions': 'viewer',
  'DELETE /api/sessions': 'viewer',
  'DELETE /api/sessions/:id': 'viewer',
  'GET /api/tokens': 'viewer',
  'POST /api/tokens': 'viewer',
  'DELETE /api/tokens/:name': 'viewer',
};

/** These are about the person who is signed in: no token does them, whatever its role, or one that got out would last. */
const SIGNED_IN_ONLY = /^\/api\/(password|sessions|tokens)\b/;
export const isSignedInOnly = (path: string) => SIGNED_IN_ONLY.test(path);
/** All that may be done before a password that must be changed has been. */
const BEFORE_NEW_PASSWORD = '/api/password';

/**
 * Kinds of entries that need a higher role than the route does. Correcting one of these needs that role too; one that is
 * not known here may have been a map.
 */
const LEAST_ROLE_OF_KIND: Partial<Record<Entry['kind'], Role>> = { map: 'manager', unfit: 'manager' };

/** The least role that may use a route. Throws where the table has none. */
export function leastRole(method: string, path = ''): Role | 'everybody' {
  const route = `${method === 'HEAD' ? 'GET' : method} ${path}`;
  if (Object.hasOwn(LEAST_ROLE, route)) return LEAST_ROLE[route];
  throw new Error(`${route} has no line in the table of roles; write who may use it in src/faces/server/roles.ts`);
}

/** Refuses who is not signed in, or has a smaller role. */
export function refuseBelow(least: Role, person: Person | null): void {
  if (person === null) throw notSignedIn(told('server.nobody-signed-in'), told('server.sign-in'));
  if (ROLES.indexOf(person.role) >= ROLES.indexOf(least)) return;
  throw refused('not-allowed', told('server.role-may-not', { role: person.role, least }), told('server.ask-manager'));
}

/** Refuses what takes a session of one's own and not a token, and all but a new password while there has to be one. */
export function refuseBySession(path: string, session: CallingSession | null): void {
  if (session === null && isSignedInOnly(path))
    throw refused('not-allowed', told('server.token-may-not'), told('server.sign-in-with-password'));
  if (session?.mustChangePassword && path !== BEFORE_NEW_PASSWORD)
    throw refused('password-outdated', told('server.weak-password'), told('server.choose-password'));
}

/** Refuses who may not add an entry of a kind. */
export function refuseKind(kind: Entry['kind'], person: Person | null): void {
  const least = LEAST_ROLE_OF_KIND[kind];
  if (least) refuseBelow(least, person);
}

export const notSignedIn = (message: Told, cure: Told) => refused('not-signed-in', message, cure);
