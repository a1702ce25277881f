import type { FastifyInstance } from 'fastify';
import type { ZodTypeProvider } from 'fastify-type-provider-zod';
import * as z from 'zod';
import { type LogStore, StoreFault } from '../../store/index.ts';
import { type Access, isUnlockedFor } from './access.ts';
import { answerDown, refusals } from './problem-details.ts';

/** Whether the server and its database answer. For everybody, and before it is known who asks: that is asked of the database. */
export function healthRoute(app: FastifyInstance, log: Pick<LogStore, 'ping'>, access: Access): void {
  app.withTypeProvider<ZodTypeProvider>().get(
    '/health',
    {
      schema: {
        operationId: 'getHealth',
        summary: 'Whether the server and its database answer',
        description: 'Answered with 503 where the database does not, or its file is gone or damaged.',
        response: { 200: z.object({ ok: z.literal(true) }), ...refusals },
      },
    },
    async (request, reply) => {
      try {
        await log.ping();
        await isUnlockedFor(access, request);
      } catch (error) {
        if (!(error instanceof StoreFault)) throw error;
        answerDown(reply, error);
        return reply;
      }
      return { ok: true } as const;
    },
  );
}
