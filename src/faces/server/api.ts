import multipart, { type MultipartFile } from '@fastify/multipart';
import swagger from '@fastify/swagger';
import type { FastifyInstance, FastifyRequest, FastifySchemaCompiler } from 'fastify';
import { jsonSchemaTransform, type ZodTypeProvider } from 'fastify-type-provider-zod';
import * as z from 'zod';
import {
  dueWork,
  entrySchema,
  LARGEST_PHOTO,
  photoType,
  readEntry,
  type SealedEntry,
  sealShape,
} from '../../log-book/index.ts';
import { explain, parseJson } from '../../site-map/index.ts';
import type { LogStore } from '../store/index.ts';
import { calendarText } from './calendar.ts';
import { problemDetailsSchema, Refused, refused } from './problem-details.ts';
import { onlyFromHere } from './this-machine.ts';

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
const problems = {
  description: 'What is wrong, with what to do about it (RFC 9457)',
  content: { 'application/problem+json': { schema: problemDetailsSchema } },
};
const refusals = { '4xx': problems, '5xx': problems };

/** Queries are held against their schema here; an entry is read by the log book's own reader, which says more. */
const validatorCompiler: FastifySchemaCompiler<z.ZodType> =
  ({ schema, httpPart }) =>
  (value) => {
    if (httpPart === 'body') return { value };
    const wrong = explain(schema, value, null);
    return wrong.length > 0 ? { error: new Refused(wrong) } : { value: schema.parse(value) };
  };

/** The log book over HTTP (contract §4). What was answered with 201 is on the disk. */
export async function logBookApi(app: FastifyInstance, { log }: { log: LogStore }): Promise<void> {
  app.addHook('onRequest', onlyFromHere);
  app.setValidatorCompiler(validatorCompiler);
  app.setSerializerCompiler(() => (value) => JSON.stringify(value));
  takeJsonAndPhotos(app);
  await app.register(multipart, { limits: { fileSize: LARGEST_PHOTO, files: 1, fields: 4, fieldSize: 1000 } });
  await app.register(swagger, {
    openapi: { openapi: '3.1.0', info: { title: 'Oilshed log book', version: '1' }, servers: [{ url: '/' }] },
    transform: jsonSchemaTransform,
  });
  // Routes stand in a plugin of their own, so that the description has been set up before it hears of them.
  await app.register(async (routes) => {
    entryRoutes(routes, log);
    photoRoutes(routes, log);
    calendarRoute(routes, log);
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

function entryRoutes(app: FastifyInstance, log: LogStore): void {
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
    async ({ body }, reply) => {
      const { entry, problems: wrong } = readEntry(body);
      if (!entry) throw new Refused(wrong);
      const answer = await log.add(entry);
      if (!answer.accepted) throw new Refused(answer.problems);
      const { id, seq, hash } = answer.accepted;
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
      return reply
        .type(type)
        .header('cache-control', 'private, max-age=31536000, immutable')
        .send(bytes as never);
    },
  );
}

function calendarRoute(app: FastifyInstance, log: LogStore): void {
  const routes = app.withTypeProvider<ZodTypeProvider>();
  routes.get(
    '/calendar.ics',
    {
      schema: {
        summary: 'Corrective work that is not closed, as a calendar (RFC 5545)',
        querystring: z.object({ site: z.string() }),
        response: {
          200: { description: 'The calendar', content: { 'text/calendar': { schema: z.string() } } },
          ...refusals,
        },
      },
    },
    async ({ query: { site } }, reply) => {
      const entries: SealedEntry[] = [];
      for await (const page of log.pages({ site })) entries.push(...page.map(({ text }) => JSON.parse(text)));
      return reply.type('text/calendar; charset=utf-8').send(calendarText(site, dueWork(entries)) as never);
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
