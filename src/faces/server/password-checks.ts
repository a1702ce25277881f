import { setTimeout as sleep } from 'node:timers/promises';
import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify';
import { told } from '../../catalogue/index.ts';
import { refused } from './problem-details.ts';
import { CROWDED, queue, queues } from './queue.ts';
import { signOfRelay } from './relay.ts';

const TRIES_A_MINUTE = 10;
/** After a wrong password the next try for the same name waits so long, from wherever it comes. */
const WAIT_AFTER_WRONG_MS = 250;
/** So many passwords are checked at once, so that of the four threads that there are some are left for files. */
const CHECKED_AT_ONCE = 2;
/** How many more may wait for that in all, and with one name; the rest are refused with `retry-after`. */
const MOST_WAITING = 50;
const MOST_OF_NAME = 100;
const RETRY_AFTER_S = 5;

/** A check of somebody's password that a request asks for. */
interface Check<T> {
  name: string;
  work(): Promise<T>;
  isWrong(answer: T): boolean;
}

/**
 * Does a check in its turn, slowly after a wrong password. Refuses more than so many tries a minute from an address, and
 * more at once than can be worked off. Null where who asked has gone away.
 */
export type PasswordChecks = <T>(request: FastifyRequest, reply: FastifyReply, check: Check<T>) => Promise<T | null>;

export function passwordChecks(app: FastifyInstance): PasswordChecks {
  const refuseMany = tooManyTries(app);
  const toCheck = queue(CHECKED_AT_ONCE, MOST_WAITING);
  const ofName = queues(1, MOST_OF_NAME);
  return async (request, reply, { name, work, isWrong }) => {
    await refuseMany(request, reply);
    const answer = await ofName(normalizedName(name), async () => {
      if (request.raw.socket.destroyed) return null;
      const found = await toCheck(work);
      if (found !== CROWDED && isWrong(found)) await sleep(WAIT_AFTER_WRONG_MS);
      return found;
    });
    if (answer !== CROWDED) return answer;
    void reply.header('retry-after', String(RETRY_AFTER_S));
    throw refused(
      'too-many-tries',
      told('server.too-many-at-once'),
      told('server.try-again-in', { seconds: RETRY_AFTER_S }),
    );
  };
}

const normalizedName = (name: string) => name.normalize('NFKC').toLowerCase();

/**
 * Refuses more than so many tries a minute from an address, or an IPv6 network. This machine may try as it likes; what a
 * relay on it passes on may not.
 */
function tooManyTries(app: FastifyInstance) {
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
    throw refused(
      'too-many-tries',
      told('server.too-many-tries', { tries: TRIES_A_MINUTE }),
      told('server.wait', { seconds: answer.ttlInSeconds }),
    );
  };
}
