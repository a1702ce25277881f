import type { FastifyRequest } from 'fastify';
import { type Told, told } from '../../catalogue/index.ts';
import { isThisMachine } from './this-machine.ts';

/**
 * Headers that programs which pass requests on add to them: RFC 7239 and RFC 9110 §7.6, and what is in common use.
 * X-Request-Id, traceparent and the like are not among them, since scripts of this machine write them too.
 */
const FORWARDING_HEADER = new RegExp(
  `^(?:${[
    '(?:x-)?forward(?:ed)?(?:-.*)?',
    'via|cdn-loop|early-data|surrogate-capability|front-end-https',
    '(?:x-)?(?:true-|cluster-)?client-ip|x-host|x-http-host-override',
    'x-(?:real|remote|original|originating|proxy|proxied|proxyuser|rewrite|cluster|nginx|tunnel)-.*',
    '(?:x-)?(?:url-)?scheme|x-(?:request|queue)-start',
    '(?:x-)?ssl-.*|x-client-(?:cert|verify).*',
    '(?:wl-)?proxy-.*',
    '(?:x-)?(?:cf|fly|fastly|envoy|amzn|amz-cf|cloudfront|azure|arr|appengine|vercel|nf|akamai|varnish|sucuri|incap)(?:-.*)?',
    'x-cloud-trace-context|tailscale-.*',
  ].join('|')})$`,
);

/**
 * What shows that a request was passed on by another program, or came under a name that is not this machine's;
 * null where nothing does. A relay that hides itself cannot be told from a program of this machine. O(headers).
 */
export function signOfRelay({ raw, headers }: FastifyRequest): Told | null {
  if (!isThisMachine(raw.socket.remoteAddress ?? '')) return told('server.sign-other-machine');
  if (raw.httpVersionMajor < 1 || raw.httpVersion === '1.0')
    return told('server.sign-version', { version: raw.httpVersion });
  if (!raw.url?.startsWith('/') && raw.url !== '*') return told('server.sign-whole-address');
  const passedOn = Object.keys(headers).find((name) => FORWARDING_HEADER.test(name.replaceAll('_', '-')));
  if (passedOn !== undefined) return told('server.sign-header', { name: passedOn });
  if (isUpgradeOfRelay(headers.connection)) return told('server.sign-header', { name: 'connection: upgrade' });
  const hosts = [headers.host, headers[':authority']].filter((host) => host !== undefined);
  if (hosts.length > 0 && hosts.every((host) => isThisMachine(String(host).replace(/:\d*$/, '')))) return null;
  return told('server.sign-other-name');
}

/**
 * There is nothing here to change the protocol for, and settings of proxies in common use ask for it with every request. A
 * program that offers HTTP/2 names its settings beside it (RFC 7540 §3.2.1).
 */
function isUpgradeOfRelay(connection = ''): boolean {
  const words = connection.toLowerCase().split(/[ ,]+/);
  return words.includes('upgrade') && !words.includes('http2-settings');
}
