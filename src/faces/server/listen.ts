import { buildApp } from './app.ts';

const FIRST_PORT = 4650;
const PORTS_TRIED = 20;

/**
 * Serves the web app on 127.0.0.1 and comes back with its address. With no port given, the first free one from 4650
 * on; a given port that is taken is an error.
 */
export async function listen({
  root,
  port,
}: {
  root: string;
  port?: number;
}): Promise<{ address: string; close: () => Promise<void> }> {
  const ports = port === undefined ? Array.from({ length: PORTS_TRIED }, (_, at) => FIRST_PORT + at) : [port];
  let failure: unknown;
  for (const candidate of ports) {
    const app = await buildApp(root);
    try {
      const address = await app.listen({ host: '127.0.0.1', port: candidate });
      return { address, close: () => app.close() };
    } catch (error) {
      await app.close();
      failure = error;
      if ((error as NodeJS.ErrnoException).code !== 'EADDRINUSE') break;
    }
  }
  throw failure;
}
