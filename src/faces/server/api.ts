import multipart, { type MultipartFile } from '@fastify/multipart';
import rateLimit from '@fastify/rate-limit';
import swagger from '@fastify/swagger';
import type { FastifyInstance, FastifyRequest, FastifySchemaCompiler } from 'fastify';
import { jsonSchemaTransform, type ZodTypeProvider } from 'fastify-type-provider-zod';
import * as z from 'zod';
import {
  type Entry,
  entrySchema,
  LARGEST_PHOTO,
  photoType,
  readEntry,
  sealShape,
  withoutPlace,
} from '../../log-book/index.ts';
import { explain, parseJson } from '../../site-map/index.ts';
import type { LogBook, LogStore } from '../store/index.ts';
import { calendarRoutes } from './calendar-routes.ts';
import { mayStillAsk, standAtDoor } from './door.ts';
import { eventRoute } from './event-route.ts';
import { type Live, liveOf } from './live.ts';
import { mapRoutes } from './map-routes.ts';
import { Refused, refusals, refused } from './problem-details.ts';
import { refuseKind } from './roles.ts';
import { sessionRoutes } from './sign-in.ts';

const MOST_ENTRIES = 10_000;
/** What may stand round a photo in a form. */
const FORM_OVERHEAD = 64 * 1024;

const accepted = z.object({ id: z.string(), seq: sealShape.seq, hash: sealShape.hash });
const entries = z.object({
  entries: z.array(z.looseObject(sealShape)).describe('by site and seq'),
  more: z.boolean().describe('whether there are more after these'),
});
const whichEntries = z.object({
  site: z.string().optional(),
  after: z.coerce.number().int().min(0).max(1e9).default(0).describe('only entries with a higher seq'),
  limit: z.coerce.number().int().min(0).max(MOST_ENTRIES).default(MOST_ENTRIES),
});
const photoName = z.object({ sha256: z.string() });
const photoTypes = ['image/jpeg', 'image/png', 'image/webp', 'image/heic'];
const anyBytes = z.unknown().meta({ format: 'binary' });

/** Queries are held against their schema here; an entry is read by the log book's own reader, which says more. */
const validatorCompiler: FastifySchemaCompiler<z.ZodType> =
  ({ schema, httpPart }) =>
  (value) => {
    if (httpPart === 'body') return { value };
    const wrong = explain(schema, value, null);
    return wrong.length > 0 ? { error: new Refused(wrong) } : { value: schema.parse(value) };
  };

/** The log book over HTTP (contract §4). What was answered with 201 is on the disk. */
export async function logBookApi(
  app: FastifyInstance,
  { log, isOpenToOthers }: { log: LogBook; isOpenToOthers: boolean },
): Promise<void> {
  const door = { people: log.people, isOpenToOthers };
  const live = liveOf(log);
  await standAtDoor(app, door);
  app.addHook('preClose', async () => live.close());
  app.setValidatorCompiler(validatorCompiler);
  app.setSerializerCompiler(() => (value) => JSON.stringify(value));
  takeJsonAndPhotos(app);
  await app.register(multipart, { limits: { fileSize: LARGEST_PHOTO, files: 1, fields: 4, fieldSize: 1000 } });
  await app.register(rateLimit, { global: false });
  await app.register(swagger, {
    openapi: { openapi: '3.1.0', info: { title: 'Oilshed log book', version: '1' }, servers: [{ url: '/' }] },
    transform: jsonSchemaTransform,
  });
  // Routes stand in a plugin of their own, so that the description has been set up before it hears of them.
  await app.register(async (routes) => {
    sessionRoutes(routes, log.people);
    entryRoutes(routes, log, live);
    photoRoutes(routes, log);
    calendarRoutes(routes, log);
    eventRoute(routes, live, (request) => mayStillAsk(door, request));
    await routes.register(mapRoutes, log);
    routes.get('/openapi.json', { schema: { hide: true } }, () => app.swagger());
  });
}

/** Bodies are JSON, read as the command line reads it, or a photo's bytes; nothing that a form of another site could send. */
function takeJsonAndPhotos(app: FastifyInstance): void {
  app.removeAllContentTypeParsers();
  app.addContentTypeParser(
    'application/json',
    { parseAs: 'string' },
    async (_request: FastifyRequest, text: string) => {
      const { value, problems: wrong } = parseJson(text);
      if (wrong.length > 0) throw new Refused(wrong);
      return value;
    },
  );
  app.addContentTypeParser(
    /^(image\/|application\/octet-stream)/,
    { parseAs: 'buffer', bodyLimit: LARGEST_PHOTO },
    async (_request: FastifyRequest, bytes: Buffer) => bytes,
  );
}

function entryRoutes(app: FastifyInstance, log: LogStore, live: Live): void {
  const routes = app.withTypeProvider<ZodTypeProvider>();
  routes.post(
    '/entries',
    {
      schema: {
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
      const answer = await log.add(entry);
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
        summary: 'What stands in the log book',
        querystring: whichEntries,
        response: { 200: entries, ...refusals },
      },
    },
    async ({ query: { site, after, limit } }, reply) => {
      const texts: string[] = [];
      for await (const page of log.pages({ site, after, limit: limit + 1 }))
        texts.push(...page.map(({ text }) => text));
      // The texts go out as they are kept.
      const text = `{"entries":[${texts.slice(0, limit).join(',')}],"more":${texts.length > limit}}`;
      return reply.type('application/json; charset=utf-8').send(text as never);
    },
  );
}

/** The kind of an entry, and of what it corrects: that stands no longer. O(entries of the site) for a correction. */
async function kindsTouched({ kind, site, body }: Entry, log: LogStore): Promise<Entry['kind'][]> {
  if (kind !== 'correction') return [kind];
  for await (const page of log.pages({ site })) {
    const corrected = page.find(({ id }) => id === body.corrects);
    if (corrected) return [kind, (JSON.parse(corrected.text) as Entry).kind];
  }
  return [kind];
}

function photoRoutes(app: FastifyInstance, log: LogStore): void {
  const routes = app.withTypeProvider<ZodTypeProvider>();
  routes.post(
    '/photos',
    {
      bodyLimit: LARGEST_PHOTO,
      onRequest: refuseLongBody,
      schema: {
        summary: 'Take in a photo, before the entries that name it',
        description: 'The bytes themselves, or a form with one file: JPEG, PNG, WebP or HEIC, 12 MB at most.',
        consumes: [...photoTypes, 'multipart/form-data'],
        body: anyBytes,
        response: { 201: z.object({ sha256: z.string() }), ...refusals },
      },
    },
    async (request, reply) => {
      const bytes = await photoBytes(request);
      if (!photoType(bytes)) throw refused('not-a-photo', 'these bytes are no photo', 'send a JPEG, PNG, WebP or HEIC');
      return reply.status(201).send({ sha256: log.photos.save(bytes) });
    },
  );
  routes.get(
    '/photos/:sha256',
    {
      schema: {
        summary: 'A photo, by the SHA-256 of its bytes',
        description:
          'As it may be seen: without the place where it was taken, and what else was written into its file. The bytes as they were sent are in exports.',
        params: photoName,
        response: {
          200: {
            description: 'Its bytes',
            content: Object.fromEntries(photoTypes.map((type) => [type, { schema: anyBytes }])),
          },
          ...refusals,
        },
      },
    },
    async ({ params: { sha256 } }, reply) => {
      const bytes = log.photos.read(sha256);
      const type = bytes && photoType(bytes);
      if (!type) throw refused('not-found', 'there is no such photo', 'check its SHA-256');
      const seen = withoutPlace(bytes);
      if (!seen)
        throw refused('not-a-photo', 'the photo is built so that its place cannot be taken out', 'see it in an export');
      return reply
        .type(type)
        .header('cache-control', 'private, max-age=31536000, immutable')
        .send(Buffer.from(seen.buffer, seen.byteOffset, seen.length) as never);
    },
  );
}

/** A body that says itself that it is too long is not read at all. */
async function refuseLongBody({ headers }: FastifyRequest): Promise<void> {
  if (Number(headers['content-length'] ?? 0) > LARGEST_PHOTO + FORM_OVERHEAD) throw photoTooLarge();
}

const photoTooLarge = () =>
  refused('too-large', 'the photo is too large', `send at most ${LARGEST_PHOTO / 2 ** 20} MB`);

async function photoBytes(request: FastifyRequest): Promise<Buffer> {
  if (Buffer.isBuffer(request.body)) return request.body;
  const part = request.isMultipart() ? await request.file() : undefined;
  if (part) return fileBytes(part);
  throw refused('bad-request', 'there is no photo in it', 'send its bytes, or a form with one file');
}

/** The bytes of a form's file. At the limit it is refused at once: what comes after it may never end. */
function fileBytes({ file }: MultipartFile): Promise<Buffer> {
  return new Promise((resolve, reject) => {
    const parts: Buffer[] = [];
    const refuse = () => reject(photoTooLarge());
    // It may have been cut before anybody listened.
    if (file.truncated) refuse();
    file.on('limit', refuse);
    file.on('data', (part: Buffer) => parts.push(part));
    file.on('error', reject);
    file.on('end', () => (file.truncated ? refuse() : resolve(Buffer.concat(parts))));
  });
}
