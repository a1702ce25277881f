import type { FastifyRequest } from 'fastify';
import pino, { type DestinationStream } from 'pino';
import type { Role } from '../../store/index.ts';

/** Events of signing in and of being refused. */
type SecurityEvent =
  | 'signed-in'
  | 'sign-in-refused'
  | 'signed-out'
  | 'session-ended'
  | 'other-sessions-ended'
  | 'password-changed'
  | 'password-change-refused'
  | 'token-made'
  | 'token-ended'
  | 'token-refused'
  | 'request-refused';

/**
 * All that is written beside the event and the address it came from: no password, token, cookie, key, body or address with
 * a query. A name is written only where somebody has it, since people type passwords in its place.
 */
interface Facts {
  name?: string;
  role?: Role;
  /** Whose session it was that a manager ended. */
  of?: string;
  /** What a token is called. */
  tokenName?: string;
  method?: string;
  route?: string;
  status?: number;
}

export interface SecurityLog {
  tell(event: SecurityEvent, request: FastifyRequest, facts?: Facts): void;
}

/** Security events as lines of JSON, each with its time; to standard error where nothing else is named. */
export function securityLog(to: DestinationStream = pino.destination({ dest: 2, sync: true })): SecurityLog {
  const log = pino({ base: null, timestamp: pino.stdTimeFunctions.isoTime }, to);
  return {
    tell(event, { ip }, { name, role, of, tokenName, method, route, status } = {}) {
      log.info({ event, address: ip, name, role, of, tokenName, method, route, status });
    },
  };
}

/** For a server that writes no security events. */
export const NO_LOG: SecurityLog = { tell: () => {} };
