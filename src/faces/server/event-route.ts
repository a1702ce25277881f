import type { FastifyInstance, FastifyRequest } from 'fastify';
import type { ZodTypeProvider } from 'fastify-type-provider-zod';
import * as z from 'zod';
import { accountOf } from './caller.ts';
import type { Live } from './live.ts';
import { refusals } from './problem-details.ts';
import { sendRaw } from './raw-reply.ts';

/** The most sites that one browser may listen to. */
const MOST_SITES = 50;

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
        operationId: 'listenToSites',
        summary: 'Tells when sites have new entries, as server-sent events',
        description:
          'An event "entry" with {"site": …, "seq": …}, the number of its last entry, whenever that grows. With ' +
          'last-event-id and one site, what was missed is told at once.',
        querystring: z.object({ site: z.union([z.string(), z.array(z.string()).max(MOST_SITES)]) }),
        headers: z.looseObject({ 'last-event-id': z.string().optional() }),
        response: {
          200: { description: 'The events', content: { 'text/event-stream': { schema: z.string() } } },
          ...refusals,
        },
      },
    },
    async (request, reply) => {
      const sites = [request.query.site].flat();
      // Each site counts for itself: of several, nobody knows whose number it was.
      const last = sites.length === 1 ? Number(request.headers['last-event-id'] ?? Number.NaN) : Number.NaN;
      const stream = await live.listen({
        sites,
        name: accountOf(request.person),
        seq: Number.isSafeInteger(last) && last >= 0 ? last : undefined,
        isAllowed: () => isAllowed(request),
      });
      // So that the connection ends with the stream when the server stops; one of HTTP/2 has other requests in it.
      if (request.raw.httpVersionMajor < 2) void reply.header('connection', 'close');
      // A proxy must not gather events before it passes them on.
      void reply.header('x-accel-buffering', 'no');
      return sendRaw(reply, 'text/event-stream', stream);
    },
  );
}
