import { once } from 'node:events';
import { readFileSync, statSync } from 'node:fs';
import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import { extname, join } from 'node:path';

const TYPES: Record<string, string> = {
  '.html': 'text/html',
  '.js': 'text/javascript',
  '.css': 'text/css',
  '.svg': 'image/svg+xml',
  '.png': 'image/png',
  '.wasm': 'application/wasm',
  '.json': 'application/json',
  '.webmanifest': 'application/manifest+json',
};

export interface FileHost {
  address: string;
  /** Paths that were asked for, with what was answered. */
  asked: { path: string; status: number }[];
  close(): Promise<void>;
}

/** A host that hands out a folder's files and does nothing else: no compression, no headers of its own but those given. */
export async function startFileHost(folder: string, headers: Record<string, string> = {}): Promise<FileHost> {
  const asked: FileHost['asked'] = [];
  const server = createServer(({ url = '/' }, response) => {
    const path = decodeURIComponent(new URL(url, 'http://host').pathname);
    const file = join(folder, path.endsWith('/') ? `${path}index.html` : path);
    const isThere = statSync(file, { throwIfNoEntry: false })?.isFile() ?? false;
    const status = isThere ? 200 : 404;
    asked.push({ path, status });
    response.writeHead(status, { 'content-type': TYPES[extname(file)] ?? 'application/octet-stream', ...headers });
    response.end(isThere ? readFileSync(file) : 'not here');
  }).listen(0, '127.0.0.1');
  await once(server, 'listening');
  return {
    address: `http://127.0.0.1:${(server.address() as AddressInfo).port}`,
    asked,
    async close() {
      server.closeAllConnections();
      server.close();
      await once(server, 'close');
    },
  };
}
