import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { listen } from '../../server/listen.ts';
import { isThisMachine } from '../../server/this-machine.ts';
import type { LogStore } from '../../store/index.ts';
import { InputError, numberWord, WordsError } from '../input.ts';
import { logPlace, withLogStore } from '../log-place.ts';
import { safe } from '../print.ts';

interface ServeFlags {
  port?: string;
  host?: string;
  data?: string;
}

/** `oilshed serve [--port N] [--data DIR]`: the web app with its log book, on this machine alone. Runs until it is stopped. */
export async function serve({ port, host, data }: ServeFlags): Promise<number> {
  const wanted = port === undefined ? undefined : numberWord('--port', port, { atLeast: 1, atMost: 65_535 });
  if (host !== undefined && !isThisMachine(host)) {
    const reason = 'nobody signs in yet, so the log book is for this machine alone';
    throw new WordsError(`--host is ${JSON.stringify(host)}; write 127.0.0.1, or leave it out: ${reason}`);
  }
  return withLogStore({ data, mustExist: false }, async (log) => {
    const { address, close } = await start({ port: wanted, host, log });
    process.stdout.write(
      `Oilshed is at ${address}\nIts log book is in ${safe(logPlace(data).folder)}.\nStop it with Ctrl+C.\n`,
    );
    await new Promise<void>((stop) => {
      for (const signal of ['SIGINT', 'SIGTERM'] as const) process.once(signal, () => stop());
    });
    await close();
    return 0;
  });
}

async function start({ port, host, log }: { port?: number; host?: string; log: LogStore }) {
  const root = join(dirname(fileURLToPath(import.meta.url)), '..', '..');
  try {
    return await listen({ root, port, host, log });
  } catch (error) {
    const { code, message } = error as NodeJS.ErrnoException;
    throw new InputError([
      `serve: ${code === 'EADDRINUSE' ? `port ${port ?? ''} is taken; give another with --port` : message}`,
    ]);
  }
}
