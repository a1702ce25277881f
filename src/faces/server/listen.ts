import type { LogStore } from '../store/index.ts';
import { buildApp } from './app.ts';
import { isThisMachine } from './this-machine.ts';

const FIRST_PORT = 4650;
const PORTS_TRIED = 20;

/**
 * Serves the web app, and the log book where one is given, on this machine alone, and comes back with its address.
 * With no port given, the first free one from 4650 on; a given port that is taken is an error. Any other address than
 * this machine's own is refused: nobody signs in yet.
 */
export async function listen({
  root,
  port,
  host = '127.0.0.1',
  log,
}: {
  root: string;
  port?: number;
  host?: string;
  log?: LogStore;
}): Promise<{ address: string; close: () => Promise<void> }> {
  if (!isThisMachine(host))
    throw new Error(`${host} is no address that only this machine can reach, and nobody signs in yet`);
  const ports = port === undefined ? Array.from({ length: PORTS_TRIED }, (_, at) => FIRST_PORT + at) : [port];
  let failure: unknown;
  for (const candidate of ports) {
    const app = await buildApp(root, log);
    try {
      const address = await app.listen({ host, port: candidate });
      return { address, close: () => app.close() };
    } catch (error) {
      await app.close();
      failure = error;
      if ((error as NodeJS.ErrnoException).code !== 'EADDRINUSE') break;
    }
  }
  throw failure;
}
