import type { FastifyRequest } from 'fastify';
import { told } from '../../catalogue/index.ts';
import { refused } from './problem-details.ts';

const THIS_MACHINE = ['127.0.0.1', 'localhost', '::1', '::ffff:127.0.0.1'];

export const isThisMachine = (host: string) => THIS_MACHINE.includes(host.replace(/^\[(.*)\]$/, '$1').toLowerCase());

/**
 * Nobody signs in yet: only this server's own page, and programs that are no page, may ask. An address that is written into
 * the browser itself comes from no page.
 */
export function refuseOtherPages({ protocol, host, headers }: FastifyRequest): void {
  const own = originOf(`${protocol}://${host}`);
  const asked = [headers.origin, headers.referer].filter((address) => address !== undefined);
  if (!asked.every((address) => own !== null && originOf(address) === own)) throw otherOrigin();
}

/** A page of another site, open in the browser of somebody who may, must not. */
export function refuseOtherSites({ host, headers }: FastifyRequest): void {
  const { origin, 'sec-fetch-site': site = 'none' } = headers;
  const isOwn = site === 'same-origin' || site === 'none';
  if (isOwn && (origin === undefined || isOriginOf(host, origin))) return;
  throw otherOrigin();
}

/** Whether an origin is at this host; whatever passed the request on may have taken the https off. */
function isOriginOf(host: string, origin: string): boolean {
  const given = originOf(origin);
  return given !== null && given === originOf(`${given.split(':')[0]}://${host}`);
}

/** The origin of an address of http or https; null where it is none. */
function originOf(address: string): string | null {
  try {
    const { origin } = new URL(address);
    return origin === 'null' ? null : origin;
  } catch {
    return null;
  }
}

const otherOrigin = () => refused('other-origin', told('server.other-site'), told('server.open-printed-address'));
