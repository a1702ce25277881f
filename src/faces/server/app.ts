import { constants, Http2ServerRequest } from 'node:http2';
import { join } from 'node:path';
import helmet from '@fastify/helmet';
import serveFiles, { type FastifyStaticOptions } from '@fastify/static';
import fastify, { type FastifyInstance, type FastifyReply, type FastifyRequest } from 'fastify';
import { told } from '../../catalogue/index.ts';
import type { LogBook } from '../../store/index.ts';
import { PHOTO_QUOTA } from '../../store/index.ts';
import { guardRequests, HEALTH } from './access.ts';
import { logBookApi } from './api.ts';
import { CONTENT_POLICY } from './content-policy.ts';
import { answerBroken, answerError, answerNotFound, refused } from './problem-details.ts';
import { leastRole } from './roles.ts';
import { NO_LOG, type SecurityLog } from './security-log.ts';
import { isThisMachine } from './this-machine.ts';

/** A request that has not come in whole by then is cut: a photo over a bad connection takes about a minute. */
const LONGEST_REQUEST_MS = 120_000;
/** Its headers come at once from anybody who means it; whether the time is over is looked at this often. */
const SLOW = { headersTimeout: 20_000, connectionsCheckingInterval: 5000 };

/** A certificate with its key, both as PEM. */
export interface Https {
  cert: Buffer;
  key: Buffer;
}

const HALF_A_YEAR_S = 180 * 24 * 3600;

/** Tells browsers to ask for this host over https alone (RFC 6797); not of this machine, where others answer in plain too. */
async function requireHttps({ hostname }: FastifyRequest, reply: FastifyReply): Promise<void> {
  if (!isThisMachine(hostname)) void reply.header('strict-transport-security', `max-age=${HALF_A_YEAR_S}`);
}

/** Names that the build gives by content: what stands under one never changes. */
const NAMED_BY_CONTENT = /[\\/]assets[\\/][^\\/]+-[\w-]{8}\.\w+(\.br|\.gz)?$/;

/** Sets how long a browser may use a file of the page without asking again, and that it comes compressed in several ways. */
const sayHowLong: FastifyStaticOptions['setHeaders'] = (response, file) => {
  response.setHeader('cache-control', NAMED_BY_CONTENT.test(file) ? 'public, max-age=31536000, immutable' : 'no-cache');
  response.setHeader('vary', 'accept-encoding');
};

/** Node ends the body of an HTTP/2 request that was cut off, at either end, as if it were complete. */
async function refuseCutRequest({ raw }: { raw: object }): Promise<void> {
  if (raw instanceof Http2ServerRequest && (raw.stream.closed || raw.stream.aborted || raw.stream.destroyed))
    throw refused('bad-request', told('server.cut'), told('server.send-again'));
}

/** An answer that does not say otherwise is for this caller and this moment, and may not be cached. */
async function forbidCaching(_request: FastifyRequest, reply: FastifyReply): Promise<void> {
  if (!reply.hasHeader('cache-control') && !reply.raw.hasHeader('cache-control'))
    void reply.header('cache-control', 'no-store');
}

/** Node ends HTTP/1 requests that take too long, but not those of HTTP/2. */
async function cutLongRequest({ raw }: { raw: object }): Promise<void> {
  if (!(raw instanceof Http2ServerRequest) || raw.stream.endAfterHeaders) return;
  const timer = setTimeout(() => raw.stream.close(constants.NGHTTP2_CANCEL), LONGEST_REQUEST_MS);
  for (const over of ['end', 'close']) raw.once(over, () => clearTimeout(timer));
}

/**
 * The web app's server, not yet listening: the built pages with the demo yards at `/`, and the log book at `/api/` where
 * there is one. What is computed is computed in the browser. `root` is the folder that holds `dist`; where other machines
 * can reach it (`isOpenToOthers`), nobody gets at the log book without signing in. What a proxy says of whom it asks for is
 * believed of those at the addresses or networks `behind` alone; left out, of one on this machine.
 */
export async function buildApp(
  root: string,
  log?: LogBook,
  {
    isOpenToOthers = false,
    behind,
    https,
    security = NO_LOG,
    photoQuotaBytes = PHOTO_QUOTA,
  }: {
    isOpenToOthers?: boolean;
    behind?: string[];
    https?: Https;
    security?: SecurityLog;
    photoQuotaBytes?: number;
  } = {},
): Promise<FastifyInstance> {
  // Over HTTP/2 all tabs share one connection, however much they ask at once; browsers speak it over https alone. Its
  // requests have other types than those of HTTP/1; the routes use only what both have.
  const secure = https && { http2: true as false, https: { ...https, allowHTTP1: true } };
  const app = fastify({
    logger: false,
    requestTimeout: LONGEST_REQUEST_MS,
    frameworkErrors: answerError,
    clientErrorHandler: answerBroken,
    trustProxy: behind ?? 'loopback',
    ...secure,
  }) as unknown as FastifyInstance;
  // A server of HTTP/2 takes these from no options.
  Object.assign(app.server, SLOW);
  app.addHook('onRoute', ({ method, url }) => {
    for (const each of [method].flat()) leastRole(each, url);
  });
  app.setErrorHandler(answerError);
  app.setNotFoundHandler(answerNotFound);
  await app.register(helmet, {
    // Without the defaults: one of them, to ask for https alone, would break the page on a plain-http address of a local network.
    contentSecurityPolicy: { useDefaults: false, directives: { ...CONTENT_POLICY, 'frame-ancestors': ["'self'"] } },
    strictTransportSecurity: false,
  });
  const access = log && { people: log.people, ping: log.ping, isOpenToOthers, security };
  if (https) app.addHook('onRequest', requireHttps);
  if (access) guardRequests(app, access);
  app.addHook('onRequest', cutLongRequest);
  app.addHook('preValidation', refuseCutRequest);
  app.addHook('onSend', forbidCaching);
  await app.register(serveFiles, {
    root: join(root, 'dist', 'web'),
    preCompressed: true,
    cacheControl: false,
    setHeaders: sayHowLong,
  });
  // A page that is served without a log book need not look for it.
  if (!log) app.get(HEALTH, () => ({ ok: true, hasLogBook: false }));
  if (log && access) await app.register(logBookApi, { prefix: '/api', log, access, photoQuotaBytes });
  return app;
}
