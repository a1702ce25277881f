import { type Told, told } from '../../catalogue/index.ts';
import type { LogBook } from '../../store/index.ts';
import { buildApp, type Https } from './app.ts';
import type { SecurityLog } from './security-log.ts';
import { isThisMachine } from './this-machine.ts';
import { voiceIn } from './voices.ts';

const FIRST_PORT = 4650;
const PORTS_TRIED = 20;

/** Where a server answers: an address of this machine, and the proxies in front of it where that was said. */
export interface Reach {
  host?: string;
  behind?: string[];
}

const THIS_MACHINE = '127.0.0.1';

export const isOpenToOthers = ({ host = THIS_MACHINE, behind }: Reach) => behind !== undefined || !isThisMachine(host);

/** Others can reach it, and there is no manager in the log book who could let them in. */
export class NoManager extends Error {
  readonly told: Told;
  constructor({ host = THIS_MACHINE, behind = [] }: Reach) {
    const hosts = behind.length === 0 ? host : told('server.through', { host, proxies: { list: behind } });
    const message = told('server.no-manager', { hosts });
    super(voiceIn('en').tell(message));
    this.told = message;
  }
}

/**
 * Serves the web app, and the log book where one is given, and comes back with its address: on this machine alone, or at
 * `host` or `behind` proxies, once there is a manager. With no port given, the first free one from 4650 on; a given port that is taken is an
 * error.
 */
export async function listen({
  root,
  port,
  log,
  https,
  security,
  photoQuotaBytes,
  ...reach
}: Reach & {
  root: string;
  port?: number;
  log?: LogBook;
  https?: Https;
  /** Where security events are written; left out, nowhere. */
  security?: SecurityLog;
  photoQuotaBytes?: number;
}): Promise<{ address: string; close: () => Promise<void> }> {
  const { host = THIS_MACHINE, behind } = reach;
  const isOpen = isOpenToOthers(reach);
  if (isOpen && !(await log?.people.hasManager())) throw new NoManager(reach);
  const ports = port === undefined ? Array.from({ length: PORTS_TRIED }, (_, at) => FIRST_PORT + at) : [port];
  let failure: unknown;
  for (const candidate of ports) {
    const app = await buildApp(root, log, { isOpenToOthers: isOpen, behind, https, security, photoQuotaBytes });
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
