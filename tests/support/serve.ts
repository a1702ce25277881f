import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { root } from './root.ts';

export interface Served {
  address: string;
  /** Ends it at once, as a loss of power would. */
  kill(): Promise<void>;
}

/** `oilshed serve` in a process of its own, ready when this comes back. Without a port the first free one. */
export async function serveBook(data: string, port?: number, more: NodeJS.ProcessEnv = {}): Promise<Served> {
  const words = [`${root}/dist/cli/oilshed.js`, 'serve', '--data', data, ...(port ? ['--port', String(port)] : [])];
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
