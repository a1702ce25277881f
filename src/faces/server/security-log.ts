import type { FastifyRequest } from 'fastify';
import pino, { type DestinationStream } from 'pino';
import type { Role } from '../../store/index.ts';

/** What is told of who comes in, and who does not. */
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
 * All that is told beside the event and the address it came from. There is no room here for a password, a token, a cookie, a
 * key, a body or an address with a query. A name is told only where somebody has it: in place of one, people write passwords.
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

/** Where nobody listens. */
export const NO_LOG: SecurityLog = { tell: () => {} };
