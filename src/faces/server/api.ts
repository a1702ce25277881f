import { availableParallelism } from 'node:os';
import rateLimit from '@fastify/rate-limit';
import type { FastifyInstance, FastifyRequest, FastifySchemaCompiler } from 'fastify';
import type { ZodTypeProvider } from 'fastify-type-provider-zod';
import * as z from 'zod';
import { accountShape, type Entry, entrySchema, type NewEntry, readEntry, sealShape } from '../../log-book/index.ts';
import { explain, parseJson } from '../../site-map/index.ts';
import { entryOf, type LogBook, type LogStore, type PhotoQuota, photoQuota, type Which } from '../../store/index.ts';
import { type Access, authenticate, isStillAllowed } from './access.ts';
import { accountRoutes } from './account-routes.ts';
import { bodyRoom } from './body-room.ts';
import { calendarRoutes } from './calendar-routes.ts';
import { accountOf } from './caller.ts';
import { eventRoute } from './event-route.ts';
import { healthRoute } from './health.ts';
import { type Live, liveOf } from './live.ts';
import { mapRoutes } from './map-routes.ts';
import { describeApi } from './openapi.ts';
import { passwordChecks } from './password-checks.ts';
import { photoRoutes } from './photo-routes.ts';
import { Refused, refusals } from './problem-details.ts';
import { sendRaw } from './raw-reply.ts';
import { restoreRoute } from './restore-route.ts';
import { refuseKind } from './roles.ts';
import { sessionRoutes } from './sign-in.ts';
import { workerPool } from './worker-pool.ts';

/** The most entries of an answer, and about the most characters. */
const MOST_ENTRIES = 10_000;
const MOST_CHARACTERS = 16 * 2 ** 20;
/** Bytes of a body: an entry of 256,000 characters, and all else that is sent as JSON, a name and a password at most. */
const LARGEST_ENTRY = 2 ** 20;
const LARGEST_OTHER = 8 * 1024;

/** Threads that read photos and maps; one processor is left for answering. */
const THREADS = Math.min(4, Math.max(1, availableParallelism() - 1));

const accepted = z.object({ id: z.string(), seq: sealShape.seq, hash: sealShape.hash });
const entries = z.object({
  entries: z
    .array(z.intersection(entrySchema, z.looseObject({ ...sealShape, ...accountShape })))
    .describe('by site and seq'),
  more: z.boolean().describe('whether there are more after these: an answer ends at the limit, or at about 16 MB'),
});
const whichEntries = z.object({
  site: z.string().optional(),
  after: z.coerce.number().int().min(0).max(1e9).default(0).describe('only entries with a higher seq'),
  limit: z.coerce
    .number()
    .int()
    .min(0)
    .overwrite((count) => Math.min(count, MOST_ENTRIES))
    .default(MOST_ENTRIES)
    .describe(`no more than ${MOST_ENTRIES} are given in any case`),
});

/** Queries are held against their schema here; an entry is read by the log book's own reader, which says more. */
const validatorCompiler: FastifySchemaCompiler<z.ZodType> =
  ({ schema, httpPart }) =>
  (value) => {
    if (httpPart === 'body') return { value };
    const wrong = explain(schema, value, null);
    return wrong.length > 0 ? { error: new Refused(wrong) } : { value: schema.parse(value) };
  };

/** The log book over HTTP. What was answered with 201 is on the disk. */
export async function logBookApi(
  app: FastifyInstance,
  { log, access, photoQuotaBytes }: { log: LogBook; access: Access; photoQuotaBytes: number },
): Promise<void> {
  const live = liveOf(log);
  const pool = workerPool(THREADS);
  const room = bodyRoom();
  const quota = photoQuota(log, photoQuotaBytes);
  app.addHook('onClose', () => pool.close());
  app.addHook('preClose', async () => live.close());
  app.setValidatorCompiler(validatorCompiler);
  app.setSerializerCompiler(() => (value) => JSON.stringify(value));
  takeJson(app);
  await app.register(rateLimit, { global: false });
  await describeApi(app);
  healthRoute(app, log, access);
  await app.register(async (routes) => {
    await authenticate(routes, access);
    const parts = { people: log.people, checks: passwordChecks(routes), security: access.security };
    sessionRoutes(routes, parts);
    accountRoutes(routes, parts);
    entryRoutes(routes, { log, live, quota });
    calendarRoutes(routes, log, pool);
    eventRoute(routes, live, (request) => isStillAllowed(access, request));
    await routes.register(photoRoutes, { photos: log.photos, quota, pool, room });
    await routes.register(mapRoutes, { maps: log.maps, pool, room });
    await routes.register(restoreRoute, { log, live });
    routes.get('/openapi.json', { schema: { hide: true } }, () => app.swagger());
  });
}

/** Bodies are JSON, read as the command line reads it; nothing that a form of another site could send. */
function takeJson(app: FastifyInstance): void {
  app.removeAllContentTypeParsers();
  app.addContentTypeParser(
    'application/json',
    { parseAs: 'string', bodyLimit: LARGEST_OTHER },
    async (_request: FastifyRequest, text: string) => {
      const { value, problems: wrong } = parseJson(text);
      if (wrong.length > 0) throw new Refused(wrong);
      return value;
    },
  );
}

function entryRoutes(
  app: FastifyInstance,
  { log, live, quota }: { log: LogStore; live: Live; quota: PhotoQuota },
): void {
  const routes = app.withTypeProvider<ZodTypeProvider>();
  routes.post(
    '/entries',
    {
      bodyLimit: LARGEST_ENTRY,
      schema: {
        operationId: 'addEntry',
        summary: 'Take an entry into the log book',
        description: 'The same entry sent again gets the same answer; other content under its id is refused.',
        body: entrySchema,
        response: { 201: accepted, ...refusals },
      },
    },
    async ({ body, person }, reply) => {
      const { entry, problems: wrong } = readEntry(body);
      if (!entry) throw new Refused(wrong);
      for (const kind of await kindsTouched(entry, log)) refuseKind(kind, person);
      const tooMuch = await quota.problemsOf(entry);
      if (tooMuch.length > 0) throw new Refused(tooMuch);
      const answer = await log.add(entry, accountOf(person));
      if (!answer.accepted) throw new Refused(answer.problems);
      const { id, seq, hash } = answer.accepted;
      live.tell(entry.site, seq);
      return reply.status(201).send({ id, seq, hash });
    },
  );
  routes.get(
    '/entries',
    {
      schema: {
        operationId: 'listEntries',
        summary: 'What stands in the log book',
        querystring: whichEntries,
        response: { 200: entries, ...refusals },
      },
    },
    async ({ query }, reply) => {
      const { texts, isMore } = await textsOf(log, query);
      // The texts go out as they are kept.
      const text = `{"entries":[${texts.join(',')}],"more":${isMore}}`;
      return sendRaw(reply, 'application/json; charset=utf-8', text);
    },
  );
}

/**
 * Texts of entries, at least one, up to a limit and to MOST_CHARACTERS. O(text). Throws a StoreFault where one cannot be
 * read.
 */
async function textsOf(
  log: LogStore,
  { limit, ...which }: Which & { limit: number },
): Promise<{ texts: string[]; isMore: boolean }> {
  const texts: string[] = [];
  let characters = 0;
  for await (const page of log.pages({ ...which, limit: limit + 1 })) {
    for (const stored of page) {
      entryOf(stored);
      characters += stored.text.length;
      if (texts.length === limit || (texts.length > 0 && characters > MOST_CHARACTERS)) return { texts, isMore: true };
      texts.push(stored.text);
    }
  }
  return { texts, isMore: false };
}

/** The kind of an entry, and of what it corrects: that stands no longer. */
async function kindsTouched(entry: NewEntry, log: LogStore): Promise<Entry['kind'][]> {
  const corrected = entry.kind === 'correction' ? await log.entry(entry.body.corrects) : null;
  return corrected ? [entry.kind, entryOf(corrected).kind] : [entry.kind];
}
