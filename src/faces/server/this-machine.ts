import type { FastifyRequest } from 'fastify';
import { refused } from './problem-details.ts';

const THIS_MACHINE = ['127.0.0.1', 'localhost', '::1'];

export const isThisMachine = (host: string) => THIS_MACHINE.includes(host.replace(/^\[(.*)\]$/, '$1'));

/**
 * Nobody signs in yet: whoever sits at this machine may read and write. So a page of another site, open in the same
 * browser, must not: neither by its own name (the `Origin`), nor by a name of its own for this machine (the `Host`).
 */
export async function onlyFromHere({ host, hostname, headers }: FastifyRequest): Promise<void> {
  const { origin } = headers;
  if (isThisMachine(hostname) && (origin === undefined || origin === `http://${host}`)) return;
  throw refused(
    'other-origin',
    'the request comes from a page of another site, or under another name of this machine',
    'open the app at the address that oilshed serve prints',
  );
}
