import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { listen } from '../../server/listen.ts';
import { InputError, numberWord } from '../input.ts';

/** `oilshed serve [--port N]`: the web app, on this machine alone. Runs until it is stopped. */
export async function serve({ port }: { port?: string }): Promise<number> {
  const wanted = port === undefined ? undefined : numberWord('--port', port, { atLeast: 1, atMost: 65_535 });
  const root = join(dirname(fileURLToPath(import.meta.url)), '..', '..');
  try {
    const { address, close } = await listen({ root, port: wanted });
    process.stdout.write(`Oilshed is at ${address}\nStop it with Ctrl+C.\n`);
    await new Promise<void>((stop) => {
      for (const signal of ['SIGINT', 'SIGTERM'] as const) process.once(signal, () => stop());
    });
    await close();
    return 0;
  } catch (error) {
    const { code, message } = error as NodeJS.ErrnoException;
    const reason = code === 'EADDRINUSE' ? `port ${wanted ?? ''} is taken; give another with --port` : message;
    throw new InputError([`serve: ${reason}`]);
  }
}
