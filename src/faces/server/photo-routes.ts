import multipart, { type MultipartFile } from '@fastify/multipart';
import type { FastifyInstance, FastifyRequest } from 'fastify';
import type { ZodTypeProvider } from 'fastify-type-provider-zod';
import * as z from 'zod';
import { told } from '../../catalogue/index.ts';
import { LARGEST_PHOTO, photoType } from '../../log-book/index.ts';
import type { LogBook, PhotoQuota } from '../../store/index.ts';
import type { bodyRoom } from './body-room.ts';
import { isUnchanged, setCacheHeaders } from './kept-files.ts';
import { Refused, refusals, refused } from './problem-details.ts';
import { sendRaw } from './raw-reply.ts';
import { movable, type WorkerPool } from './worker-pool.ts';

/** What may stand round a photo in a form. */
const FORM_OVERHEAD = 64 * 1024;

const photoName = z.object({ sha256: z.string() });
const photoTypes = ['image/jpeg', 'image/png', 'image/webp', 'image/heic'];
const anyBytes = z.unknown().meta({ format: 'binary' });

interface Kept extends Pick<LogBook, 'photos'> {
  quota: PhotoQuota;
  pool: WorkerPool;
  room: ReturnType<typeof bodyRoom>;
}

/** Photos that entries name. A plugin of its own: here alone a body may be a photo's bytes, or a form. */
export async function photoRoutes(app: FastifyInstance, kept: Kept): Promise<void> {
  const { photos, pool, room } = kept;
  app.removeAllContentTypeParsers();
  app.addContentTypeParser(
    /^(image\/|application\/octet-stream)/,
    { parseAs: 'buffer', bodyLimit: LARGEST_PHOTO },
    async (_request: FastifyRequest, bytes: Buffer) => bytes,
  );
  await app.register(multipart, { limits: { fileSize: LARGEST_PHOTO, files: 1, fields: 4, fieldSize: 1000 } });
  const routes = app.withTypeProvider<ZodTypeProvider>();
  routes.post(
    '/photos',
    {
      bodyLimit: LARGEST_PHOTO,
      onRequest: [refuseLongBody, room(LARGEST_PHOTO + FORM_OVERHEAD)],
      schema: {
        operationId: 'addPhoto',
        summary: 'Take in a photo, before the entries that name it',
        description: 'The bytes themselves, or a form with one file: JPEG, PNG, WebP or HEIC, 12 MB at most.',
        consumes: [...photoTypes, 'multipart/form-data'],
        querystring: z.object({
          site: z.string().optional().describe('whose entry will name it: it is held against the room of that site'),
        }),
        body: anyBytes,
        response: { 201: z.object({ sha256: z.string() }), ...refusals },
      },
    },
    async (request, reply) => {
      const bytes = await photoBytes(request);
      if (!photoType(bytes)) throw refused('not-a-photo', told('server.not-a-photo'), told('server.send-photo-type'));
      return reply.status(201).send({ sha256: await keep(kept, bytes, request.query.site) });
    },
  );
  routes.get(
    '/photos/:sha256',
    {
      schema: {
        operationId: 'getPhoto',
        summary: 'A photo, by the SHA-256 of its bytes',
        description:
          'As it may be seen: without the place where it was taken, and what else was written into its file. The bytes as they were sent are in exports.',
        params: photoName,
        response: {
          200: {
            description: 'Its bytes',
            content: Object.fromEntries(photoTypes.map((type) => [type, { schema: anyBytes }])),
          },
          304: z.null().describe('the one that was given before still holds'),
          ...refusals,
        },
      },
    },
    async (request, reply) => {
      const { sha256 } = request.params;
      if (!photos.has(sha256)) throw noSuchPhoto();
      if (isUnchanged(request, sha256)) {
        setCacheHeaders(request, reply, sha256);
        return reply.status(304).send(null);
      }
      const photo = await pool.run('seePhoto', { folder: photos.folder, name: sha256 });
      if (!photo) throw noSuchPhoto();
      const { type, bytes } = photo;
      if (!bytes) throw refused('not-a-photo', told('server.photo-keeps-place'), told('server.see-in-export'));
      setCacheHeaders(request, reply, sha256);
      return sendRaw(reply, type, Buffer.from(bytes.buffer, bytes.byteOffset, bytes.length));
    },
  );
}

const noSuchPhoto = () => refused('not-found', told('server.no-photo'), told('server.check-sha'));

/** Keeps a photo where there is room for it; one that is kept already needs none. */
async function keep({ photos, pool, quota }: Kept, bytes: Buffer, site: string | undefined): Promise<string> {
  const taken = await quota.take(bytes.length, site);
  let name: string | null = null;
  try {
    if (taken.problem && !photos.has(await pool.run('hash', bytes))) throw new Refused([taken.problem]);
    const whole = movable(bytes);
    name = await pool.run('keep', { folder: photos.folder, bytes: whole }, [whole.buffer]);
    return name;
  } finally {
    taken.done(name);
  }
}

/** A body that says itself that it is too long is not read at all. */
async function refuseLongBody({ headers }: FastifyRequest): Promise<void> {
  if (Number(headers['content-length'] ?? 0) > LARGEST_PHOTO + FORM_OVERHEAD) throw photoTooLarge();
}

const photoTooLarge = () =>
  refused('too-large', told('server.photo-too-large'), told('server.send-at-most', { most: LARGEST_PHOTO / 2 ** 20 }));

async function photoBytes(request: FastifyRequest): Promise<Buffer> {
  if (Buffer.isBuffer(request.body)) return request.body;
  const part = request.isMultipart() ? await request.file().catch(refuseCut) : undefined;
  if (part) return fileBytes(part).catch(refuseCut);
  throw refused('bad-request', told('server.no-photo-in-it'), told('server.send-photo-bytes'));
}

/** What the reader of forms has no code for is a form that ends too early. */
function refuseCut(error: Error): never {
  if (error instanceof Refused || 'statusCode' in error) throw error;
  throw refused('bad-request', told('server.form-cut'), told('server.send-whole'));
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
