import { once } from 'node:events';
import { type AddressInfo, connect, createServer, type Socket } from 'node:net';

/** Notes when the first answer comes to stand on the page, in ms since 1970. */
export const NOTE_ANSWER = `
  new MutationObserver((_, observer) => {
    if (!document.querySelector('.zones .zone-row')) return;
    observer.disconnect();
    globalThis.answeredAt = Date.now();
  }).observe(document, { childList: true, subtree: true });
`;

export interface Wire {
  /** Stands for the server's own address. */
  address: string;
  /** All bytes that the server has sent up to a time (ms since 1970; left out, so far), headers among them, to whichever thread of the browser. */
  received(untilMs?: number): number;
  close(): Promise<void>;
}

/** A relay on 127.0.0.1 that passes bytes on as they are, and counts those that come back from the server. */
export async function countedWire(server: string): Promise<Wire> {
  const { port, protocol } = new URL(server);
  const sockets = new Set<Socket>();
  const parts: { ms: number; bytes: number }[] = [];
  const relay = createServer((client) => {
    const upstream = connect(Number(port), '127.0.0.1');
    for (const [socket, other] of [
      [client, upstream],
      [upstream, client],
    ]) {
      sockets.add(socket);
      socket.on('error', () => other.destroy());
      socket.on('close', () => {
        sockets.delete(socket);
        other.destroy();
      });
    }
    upstream.on('data', ({ length }) => void parts.push({ ms: Date.now(), bytes: length }));
    client.pipe(upstream).pipe(client);
  }).listen(0, '127.0.0.1');
  await once(relay, 'listening');
  return {
    address: `${protocol}//127.0.0.1:${(relay.address() as AddressInfo).port}`,
    received: (untilMs = Number.POSITIVE_INFINITY) =>
      parts.reduce((sum, { ms, bytes }) => (ms <= untilMs ? sum + bytes : sum), 0),
    async close() {
      for (const socket of sockets) socket.destroy();
      relay.close();
      await once(relay, 'close');
    },
  };
}
