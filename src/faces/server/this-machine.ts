import type { FastifyRequest } from 'fastify';
import { refused } from './problem-details.ts';

const THIS_MACHINE = ['127.0.0.1', 'localhost', '::1', '::ffff:127.0.0.1'];

export const isThisMachine = (host: string) => THIS_MACHINE.includes(host.replace(/^\[(.*)\]$/, '$1'));

/**
 * Nobody signs in yet: whoever sits at this machine may read and write. So a page of another site, open in the same
 * browser, must not, by a name of its own for this machine (the `Host`); nor others through a program that passes
 * requests on, as far as that says so.
 */
export function refuseElsewhere({ ip, headers }: FastifyRequest): void {
  const isPassedOn = headers.via !== undefined || headers.forwarded !== undefined;
  if (!isPassedOn && isThisMachine(ip) && isThisMachine((headers.host ?? '').replace(/:\d+$/, ''))) return;
  throw otherOrigin('the request comes from another machine, or under another name of this one');
}

/** A page of another site, open in the browser of somebody who may, must not. */
export function refuseOtherSites({ host, headers }: FastifyRequest): void {
  const { origin, 'sec-fetch-site': site } = headers;
  if (site !== 'cross-site' && (origin === undefined || isOriginOf(host, origin))) return;
  throw otherOrigin('the request comes from a page of another site');
}

/** Whether an origin is at this host; whatever passed the request on may have taken the https off. */
function isOriginOf(host: string, origin: string): boolean {
  try {
    const { protocol, host: its } = new URL(origin);
    return its !== '' && its === new URL(`${protocol}//${host}`).host;
  } catch {
    return false;
  }
}

const otherOrigin = (message: string) =>
  refused('other-origin', message, 'open the app at the address that oilshed serve prints');
