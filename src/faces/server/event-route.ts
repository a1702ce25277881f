import type { FastifyInstance, FastifyRequest } from 'fastify';
import type { ZodTypeProvider } from 'fastify-type-provider-zod';
import * as z from 'zod';
import { accountOf } from './caller.ts';
import type { Live } from './live.ts';
import { refusals } from './problem-details.ts';

/** `isAllowed` is asked as long as somebody listens. */
export function eventRoute(
  app: FastifyInstance,
  live: Live,
  isAllowed: (request: FastifyRequest) => Promise<boolean>,
): void {
  app.withTypeProvider<ZodTypeProvider>().get(
    '/events',
    {
      exposeHeadRoute: false,
      schema: {
        operationId: 'listenToSite',
        summary: 'Tells when a site has new entries, as server-sent events',
        description:
          'An event "entry" with {"site": …, "seq": …}, the number of its last entry, whenever that grows. With ' +
          'last-event-id, what was missed is told at once.',
        querystring: z.object({ site: z.string() }),
        headers: z.looseObject({ 'last-event-id': z.string().optional() }),
        response: {
          200: { description: 'The events', content: { 'text/event-stream': { schema: z.string() } } },
          ...refusals,
        },
      },
    },
    async (request, reply) => {
      const last = Number(request.headers['last-event-id'] ?? Number.NaN);
      const stream = await live.listen({
        site: request.query.site,
        name: accountOf(request.person),
        seq: Number.isSafeInteger(last) && last >= 0 ? last : undefined,
        isAllowed: () => isAllowed(request),
      });
      return (
        reply
          .type('text/event-stream')
          .header('cache-control', 'no-store')
          // A proxy must not gather events before it passes them on.
          .header('x-accel-buffering', 'no')
          // So that the connection ends with the stream when the server stops.
          .header('connection', 'close')
          .send(stream as never)
      );
    },
  );
}
