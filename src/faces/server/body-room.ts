import { finished } from 'node:stream';
import type { FastifyReply, FastifyRequest } from 'fastify';
import { told } from '../../catalogue/index.ts';
import { refused } from './problem-details.ts';

/** Bytes of photos and maps that may be on their way in at once: forty of the largest photos. */
const MOST_BYTES = 512 * 2 ** 20;

/**
 * Holds what is sent at once within the server's memory: a hook that takes room for a body of at most so many bytes before
 * any of it is read, gives it back once the request is over, and refuses where there is none.
 */
export function bodyRoom(mostBytes = MOST_BYTES) {
  let taken = 0;
  return (largest: number) =>
    async ({ headers }: FastifyRequest, reply: FastifyReply): Promise<void> => {
      const bytes = Math.min(Number(headers['content-length'] ?? largest), largest);
      if (taken + bytes > mostBytes) throw refused('server-busy', told('server.no-room'), told('server.try-soon'));
      taken += bytes;
      finished(reply.raw, () => {
        taken -= bytes;
      });
    };
}
