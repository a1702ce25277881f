import type { FastifyInstance, FastifyRequest } from 'fastify';
import type { ZodTypeProvider } from 'fastify-type-provider-zod';
import * as z from 'zod';
import { told } from '../../catalogue/index.ts';
import { LARGEST_MAP, mapIdSchema } from '../../log-book/index.ts';
import type { LogBook } from '../../store/index.ts';
import type { bodyRoom } from './body-room.ts';
import { isUnchanged, setCacheHeaders } from './kept-files.ts';
import { Refused, refusals, refused } from './problem-details.ts';
import { sendRaw } from './raw-reply.ts';
import { movable, type WorkerPool } from './worker-pool.ts';

const mapTypes = ['application/geo+json', 'application/json'];
const mapBytes = z.unknown().meta({ format: 'binary' });

/** The files of maps that `map` entries name. A plugin of its own, since JSON is kept here as the bytes that were sent. */
export async function mapRoutes(
  app: FastifyInstance,
  { maps, pool, room }: Pick<LogBook, 'maps'> & { pool: WorkerPool; room: ReturnType<typeof bodyRoom> },
): Promise<void> {
  app.removeAllContentTypeParsers();
  app.addContentTypeParser(
    mapTypes,
    { parseAs: 'buffer', bodyLimit: LARGEST_MAP },
    async (_request: FastifyRequest, bytes: Buffer) => bytes,
  );
  const routes = app.withTypeProvider<ZodTypeProvider>();
  routes.post(
    '/maps',
    {
      bodyLimit: LARGEST_MAP,
      onRequest: room(LARGEST_MAP),
      schema: {
        operationId: 'addMap',
        summary: 'Take in the file of a site map, which a map entry then names',
        description:
          'The file as it is, 20 MB at most. One that cannot be computed is refused with all that is wrong in it.',
        consumes: mapTypes,
        body: mapBytes,
        response: {
          201: z.object({ sha256: mapIdSchema, site: z.string().describe('the site that the map’s name gives') }),
          ...refusals,
        },
      },
    },
    async ({ body }, reply) => {
      if (!Buffer.isBuffer(body))
        throw refused('bad-request', told('server.no-map-in-it'), told('server.send-map-bytes'));
      const bytes = movable(body);
      const answer = await pool.run('keepMap', { folder: maps.folder, bytes }, [bytes.buffer]);
      if ('problems' in answer) throw new Refused(answer.problems);
      return reply.status(201).send(answer);
    },
  );
  routes.get(
    '/maps/:sha256',
    {
      schema: {
        operationId: 'getMap',
        summary: 'The file of a site map, by the SHA-256 of its bytes',
        params: z.object({ sha256: z.string() }),
        response: {
          200: { description: 'Its bytes', content: { 'application/geo+json': { schema: mapBytes } } },
          304: z.null().describe('the one that was given before still holds'),
          ...refusals,
        },
      },
    },
    async (request, reply) => {
      const { sha256 } = request.params;
      const bytes = maps.read(sha256);
      if (!bytes) throw refused('not-found', told('server.no-map'), told('server.check-sha-or-send'));
      setCacheHeaders(request, reply, sha256);
      if (isUnchanged(request, sha256)) return reply.status(304).send(null);
      return sendRaw(reply, 'application/geo+json', bytes);
    },
  );
}
