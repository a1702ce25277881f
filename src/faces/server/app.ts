import { join } from 'node:path';
import helmet from '@fastify/helmet';
import serveFiles from '@fastify/static';
import fastify, { type FastifyInstance, type FastifyReply, type FastifyRequest } from 'fastify';
import type { LogBook } from '../store/index.ts';
import { PHOTO_QUOTA } from '../store/photo-quota.ts';
import { logBookApi } from './api.ts';
import { checkHowAsked, HEALTH } from './door.ts';
import { answerBroken, answerError, answerNotFound } from './problem-details.ts';
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
async function keepToHttps({ hostname }: FastifyRequest, reply: FastifyReply): Promise<void> {
  if (!isThisMachine(hostname)) void reply.header('strict-transport-security', `max-age=${HALF_A_YEAR_S}`);
}

/**
 * The web app's server, not yet listening: the built pages at `/`, the demo yards at `/site-maps/`, and the log book
 * at `/api/` where there is one. What is computed is computed in the browser. `root` is the folder that holds `dist`
 * and `site-maps`; where other machines can reach it (`isOpenToOthers`), nobody gets at the log book without signing in.
 * What a proxy says of whom it asks for is believed of those at the addresses or networks `behind` alone; left out, of one
 * on this machine.
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
  const app = fastify({
    logger: false,
    requestTimeout: LONGEST_REQUEST_MS,
    frameworkErrors: answerError,
    clientErrorHandler: answerBroken,
    trustProxy: behind ?? 'loopback',
    ...(https ? { https: { ...https, ...SLOW } } : { http: SLOW }),
  }) as unknown as FastifyInstance;
  app.addHook('onRoute', ({ method, url }) => {
    for (const each of [method].flat()) leastRole(each, url);
  });
  app.setErrorHandler(answerError);
  app.setNotFoundHandler(answerNotFound);
  await app.register(helmet, {
    contentSecurityPolicy: {
      directives: {
        defaultSrc: ["'self'"],
        scriptSrc: ["'self'", "'wasm-unsafe-eval'"],
        workerSrc: ["'self'"],
        styleSrc: ["'self'"],
        imgSrc: ["'self'", 'data:', 'blob:'],
        // It would break the page on a plain-http address of a local network.
        upgradeInsecureRequests: null,
      },
    },
    strictTransportSecurity: false,
  });
  const door = log && { people: log.people, ping: log.ping, isOpenToOthers, security };
  if (https) app.addHook('onRequest', keepToHttps);
  if (door) checkHowAsked(app, door);
  await app.register(serveFiles, { root: join(root, 'dist', 'web') });
  await app.register(serveFiles, { root: join(root, 'site-maps'), prefix: '/site-maps/', decorateReply: false });
  // A page that is served without a log book need not look for it.
  if (!log)
    app.get(HEALTH, (_request, reply) =>
      reply.header('cache-control', 'no-store').send({ ok: true, hasLogBook: false }),
    );
  if (log && door) await app.register(logBookApi, { prefix: '/api', log, door, photoQuotaBytes });
  return app;
}
