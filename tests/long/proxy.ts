import { createServer, request } from 'node:http';
import { connect } from 'node:net';
import { start } from './processes.ts';

export interface RegistryProxy {
  address: string;
  /** Other hosts that were asked for, and refused. */
  foreign: string[];
  /** Whether the registry can be reached; turned off, it is as if there were no network. */
  isOnline: boolean;
  close(): Promise<void>;
}

/** Passes on from a port of 127.0.0.1 to a socket in the file system, which can be reached from every network namespace. */
const RELAY = `
const { connect, createServer } = require('node:net');
const server = createServer((near) => {
  const far = connect(process.argv[1]);
  near.pipe(far).pipe(near);
  near.on('error', () => far.destroy());
  far.on('error', () => near.destroy());
});
server.listen(0, '127.0.0.1', () => console.log(server.address().port));
`;

/**
 * A proxy that passes on what is for the npm registry and refuses all else, so that an installation that needs more shows.
 * It answers on 127.0.0.1 in the network that `enter` leads to.
 */
export async function registryProxy(
  registry: URL,
  { socket, enter }: { socket: string; enter: readonly string[] },
): Promise<RegistryProxy> {
  const portOf = (url: URL) => url.port || (url.protocol === 'https:' ? '443' : '80');
  const admitted = `${registry.hostname}:${portOf(registry)}`;
  const isAdmitted = (host: string) => {
    if (host !== admitted) proxy.foreign.push(host);
    return host === admitted && proxy.isOnline;
  };

  const server = createServer((asked, reply) => {
    const url = new URL(asked.url ?? '', 'http://none.invalid');
    if (!isAdmitted(`${url.hostname}:${portOf(url)}`)) {
      reply.writeHead(403).end();
      return;
    }
    const { method, headers } = asked;
    const passedOn = request(url, { method, headers }, (answer) => {
      reply.writeHead(answer.statusCode ?? 502, answer.headers);
      answer.pipe(reply);
    });
    passedOn.on('error', () => reply.destroy());
    asked.pipe(passedOn);
  });
  server.on('connect', ({ url = '' }, socket, head) => {
    socket.on('error', () => {});
    if (!isAdmitted(url)) {
      // No answer at all: npm asks without end where it is told that it may not.
      socket.destroy();
      return;
    }
    const upstream = connect(Number(portOf(registry)), registry.hostname, () => {
      socket.write('HTTP/1.1 200 Connection Established\r\n\r\n');
      upstream.write(head);
      upstream.pipe(socket).pipe(upstream);
    });
    upstream.on('error', () => socket.destroy());
    socket.on('close', () => upstream.destroy());
  });
  await new Promise<void>((ready) => server.listen(socket, ready));
  const relay = await start([...enter, process.execPath, '-e', RELAY, socket], { until: /^\d+\n/ });
  const proxy: RegistryProxy = {
    address: `http://127.0.0.1:${relay.said.trim()}`,
    foreign: [],
    isOnline: true,
    async close() {
      await relay.stop();
      server.close();
      server.closeAllConnections();
    },
  };
  return proxy;
}
