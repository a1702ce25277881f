import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { type AddressInfo, createServer } from 'node:net';
import { root } from './root.ts';

export interface Served {
  address: string;
  /** Ends it at once, as a loss of power would. */
  kill(): Promise<void>;
}

/**
 * A port that nothing listens at. The first free one, which `serve` takes by itself, would be taken by another test's server as
 * soon as this one's is ended to be started again.
 */
async function freePort(): Promise<number> {
  const probe = createServer().listen(0, '127.0.0.1');
  await once(probe, 'listening');
  const { port } = probe.address() as AddressInfo;
  probe.close();
  await once(probe, 'close');
  return port;
}

/** `oilshed serve` in a process of its own, ready when this comes back. Without a port one that is free. */
export async function serveBook(data: string, port?: number, more: NodeJS.ProcessEnv = {}): Promise<Served> {
  const words = [`${root}/dist/cli/oilshed.js`, 'serve', '--data', data, '--port', String(port ?? (await freePort()))];
  const { DATABASE_URL: _, ...env } = process.env;
  const child = spawn(process.execPath, words, { env: { ...env, ...more }, stdio: ['ignore', 'pipe', 'inherit'] });
  const address = await addressOf(child);
  return {
    address,
    async kill() {
      if (child.exitCode !== null || child.signalCode !== null) return;
      const closed = once(child, 'close');
      child.kill('SIGKILL');
      await closed;
    },
  };
}

function addressOf(child: ChildProcess): Promise<string> {
  return new Promise((resolve, reject) => {
    let said = '';
    child.stdout?.setEncoding('utf8').on('data', (part: string) => {
      said += part;
      const [address] = /https?:\/\/\S+/.exec(said) ?? [];
      if (address && said.includes('\n')) resolve(address.replace(/[.,]$/, ''));
    });
    child.once('close', () => reject(new Error(`it did not start: ${said}`)));
  });
}
