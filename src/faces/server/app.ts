import { join } from 'node:path';
import helmet from '@fastify/helmet';
import serveFiles from '@fastify/static';
import fastify, { type FastifyInstance } from 'fastify';

/**
 * The web app's server, not yet listening: the built pages at `/`, the demo yards at `/site-maps/`. Everything is
 * computed in the browser, so it takes in nothing. `root` is the folder that holds `dist` and `site-maps`.
 */
export async function buildApp(root: string): Promise<FastifyInstance> {
  const app = fastify({ logger: false });
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
  await app.register(serveFiles, { root: join(root, 'dist', 'web') });
  await app.register(serveFiles, { root: join(root, 'site-maps'), prefix: '/site-maps/', decorateReply: false });
  app.get('/api/health', () => ({ ok: true }));
  return app;
}
