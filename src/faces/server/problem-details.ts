import { type IncomingMessage, STATUS_CODES } from 'node:http';
import type { Socket } from 'node:net';
import type { ConnectionError, FastifyError, FastifyReply, FastifyRequest } from 'fastify';
import * as z from 'zod';
import { type Told, told, type Voice } from '../../catalogue/index.ts';
import { LARGEST_MAP, LARGEST_PHOTO, LONGEST_ENTRY } from '../../log-book/index.ts';
import { type Problem, type ProblemCode, problem, sayProblem } from '../../site-map/index.ts';
import { StoreFault } from '../../store/index.ts';
import { voiceFor, voiceIn } from './voices.ts';

const ENGLISH = voiceIn('en');

/** A request that is refused, with everything that is wrong with it. */
export class Refused extends Error {
  readonly problems: readonly Problem[];
  constructor(problems: readonly Problem[]) {
    super(problems.map(({ message }) => ENGLISH.text(message)).join('; '));
    this.problems = problems;
  }
}

/** Refuses with one problem about the whole request. */
export const refused = (code: ProblemCode, message: Told, cure: Told) =>
  new Refused([problem(code, { id: null, field: null }, { message, cure })]);

/** The HTTP status of each problem that is not simply a bad request. */
const STATUS: Partial<Record<ProblemCode, number>> = {
  'not-signed-in': 401,
  'not-allowed': 403,
  'password-outdated': 403,
  'other-origin': 403,
  relayed: 403,
  'not-found': 404,
  'entry-conflict': 409,
  'too-large': 413,
  'photo-quota': 413,
  'not-a-photo': 415,
  'too-many-tries': 429,
  fault: 500,
  'log-damaged': 500,
  'not-installed': 500,
  'log-busy': 503,
  'server-busy': 503,
  'too-many-listeners': 503,
  'log-unwritable': 503,
};

/** RFC 9457 problem details. `code` is that of docs/errors.md; `problems` has all of them. */
export const problemDetailsSchema = z.object({
  type: z.string(),
  title: z.string(),
  status: z.number().int(),
  detail: z.string(),
  code: z.string(),
  problems: z.array(
    z.object({
      code: z.string(),
      severity: z.string(),
      id: z.string().nullable(),
      field: z.string().nullable(),
      message: z.string(),
      found: z.string().optional(),
      allowed: z.string().optional(),
      cure: z.string(),
    }),
  ),
});

const described = {
  description: 'What is wrong, with what to do about it (RFC 9457)',
  content: { 'application/problem+json': { schema: problemDetailsSchema } },
};
/** How a route is refused, for its description. */
export const refusals = { '4xx': described, '5xx': described };

/** What passes by itself in a moment. */
const BUSY: readonly ProblemCode[] = ['log-busy', 'server-busy'];

const MEDIA_TYPE = 'application/problem+json';

function detailsOf(problems: readonly Problem[], status: number, voice: Voice): z.infer<typeof problemDetailsSchema> {
  const said = problems.map((each) => sayProblem(each, voice));
  const [{ code, message, cure }] = said;
  const type = `tag:oilshed,2026:${code}`;
  const title = voice.say(`server.title-${code}`);
  return { type, title, status, detail: voice.say('server.detail', { message, cure }), code, problems: said };
}

function send(reply: FastifyReply, problems: readonly Problem[], status: number): FastifyReply {
  const voice = voiceFor(reply.request);
  if (BUSY.includes(problems[0].code)) void reply.header('retry-after', '1');
  // As bytes, since a text would get a charset that this media type does not have.
  return (
    reply
      .status(status)
      .type(MEDIA_TYPE)
      .header('cache-control', 'no-store')
      .header('content-language', voice.language)
      // An address that cannot be read is answered before any hook.
      .header('x-content-type-options', 'nosniff')
      .send(Buffer.from(JSON.stringify(detailsOf(problems, status, voice))))
  );
}

const TOO_LARGE = ['FST_ERR_CTP_BODY_TOO_LARGE', 'FST_REQ_FILE_TOO_LARGE'];

const sentTooMuch = () =>
  refused(
    'too-large',
    told('server.sent-too-much'),
    told('server.send-less', {
      characters: LONGEST_ENTRY,
      photo: LARGEST_PHOTO / 2 ** 20,
      map: LARGEST_MAP / 2 ** 20,
    }),
  );

/** What the libraries under the server refuse by themselves, by their codes. */
const NOT_TAKEN: Readonly<Record<string, Told>> = {
  FST_ERR_CTP_INVALID_MEDIA_TYPE: told('server.not-taken-type'),
  FST_ERR_BAD_URL: told('server.bad-address'),
  FST_ERR_CTP_INVALID_CONTENT_LENGTH: told('server.bad-length'),
  FST_PARTS_LIMIT: told('server.bad-form'),
  FST_FILES_LIMIT: told('server.bad-form'),
  FST_FIELDS_LIMIT: told('server.bad-form'),
  FST_PROTO_VIOLATION: told('server.bad-form'),
  FST_INVALID_MULTIPART_CONTENT_TYPE: told('server.bad-form'),
  FST_MP_PREMATURE_CLOSE: told('server.form-cut'),
};

/** What went wrong with a request, and the status that says so. */
function problemsOf(error: FastifyError | Refused | StoreFault): { problems: readonly Problem[]; status: number } {
  if (error instanceof Refused) return { problems: error.problems, status: STATUS[error.problems[0].code] ?? 400 };
  if (error instanceof StoreFault) return { problems: [error.problem], status: STATUS[error.problem.code] ?? 500 };
  const { code, statusCode: status = 500 } = error;
  if (TOO_LARGE.includes(code)) return { problems: sentTooMuch().problems, status: 413 };
  if (status >= 500)
    return { problems: refused('fault', told('server.fault'), told('server.report-it')).problems, status: 500 };
  const what = NOT_TAKEN[code] ?? told('server.not-taken');
  return { problems: refused('bad-request', what, told('server.see-openapi')).problems, status };
}

/** So much, and so long, a body that was refused is still read and thrown away, so that its sender sees the answer. */
const READ_ON = { bytes: 64 * 2 ** 20, ms: 5000 };

function readOnThenCut(request: IncomingMessage): void {
  if (request.readableEnded) return;
  let left = READ_ON.bytes;
  const timer = setTimeout(() => request.destroy(), READ_ON.ms).unref();
  request.unpipe();
  request.on('data', (part: Buffer) => {
    left -= part.length;
    if (left < 0) request.destroy();
  });
  request.on('close', () => clearTimeout(timer));
}

/** Answers an error as problem details; the server's own faults are said on standard error too. */
export function answerError(error: FastifyError, request: FastifyRequest, reply: FastifyReply): FastifyReply {
  const { problems, status } = problemsOf(error);
  if (problems[0].code === 'fault') console.error(error);
  if (status === 413) {
    // Closing at once would reset the connection, and the answer would be lost.
    void reply.removeHeader('connection');
    readOnThenCut(request.raw);
  }
  return send(reply, problems, status);
}

/** Requests that cannot be read: the status, what is wrong, and what to do. */
const BROKEN: Record<string, [status: number, message: Told, cure: Told]> = {
  ERR_HTTP_REQUEST_TIMEOUT: [408, told('server.too-slow'), told('server.send-faster')],
  HPE_HEADER_OVERFLOW: [431, told('server.long-headers'), told('server.send-short-headers', { most: 16 })],
};

/** Answers what is not HTTP, comes too slowly or has too long a head, and closes the connection; in English, as no headers were read. */
export function answerBroken(error: ConnectionError, socket: Socket): void {
  if (socket.writable && error.code !== 'ECONNRESET') {
    const unreadable = [400, told('server.not-http'), told('server.send-http')] as const;
    const [status, message, cure] = BROKEN[error.code] ?? unreadable;
    const body = JSON.stringify(detailsOf(refused('bad-request', message, cure).problems, status, ENGLISH));
    const head = [
      `HTTP/1.1 ${status} ${STATUS_CODES[status]}`,
      `Content-Type: ${MEDIA_TYPE}`,
      `Content-Length: ${Buffer.byteLength(body)}`,
      'Cache-Control: no-store',
      'X-Content-Type-Options: nosniff',
      'Connection: close',
    ];
    socket.write(`${head.join('\r\n')}\r\n\r\n${body}`);
  }
  socket.destroy(error);
}

/** Answers that the log book's database is down, whatever is wrong with it. */
export const answerDown = (reply: FastifyReply, fault: StoreFault) => send(reply, [fault.problem], 503);

export const answerNotFound = (_request: FastifyRequest, reply: FastifyReply) =>
  send(reply, refused('not-found', told('server.nothing-here'), told('server.check-it')).problems, 404);
