import { readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { createSecureContext } from 'node:tls';
import { fileURLToPath } from 'node:url';
import type { Https } from '../../server/app.ts';
import { listen, NoManager } from '../../server/listen.ts';
import { isThisMachine } from '../../server/this-machine.ts';
import { addFirstManager, firstManager } from '../first-manager.ts';
import { fileReason, InputError, numberWord, WordsError } from '../input.ts';
import { logPlace, withLogStore } from '../log-place.ts';
import { safe } from '../print.ts';

interface ServeFlags {
  port?: string;
  host?: string;
  data?: string;
  cert?: string;
  key?: string;
}

/**
 * `oilshed serve [--port N] [--data DIR] [--host ADDRESS] [--cert FILE --key FILE]`: the web app with its log book, on this
 * machine alone or, once there is a manager, for others. The first manager may be named by OILSHED_MANAGER. Runs until it is stopped.
 */
export async function serve({ port, host = '127.0.0.1', data, cert, key }: ServeFlags): Promise<number> {
  const wanted = port === undefined ? undefined : numberWord('--port', port, { atLeast: 1, atMost: 65_535 });
  const https = readHttps(cert, key);
  const isOpenToOthers = !isThisMachine(host);
  const first = firstManager(process.env);
  const onFault = ({ code }: { code: string }) => {
    if (isOpenToOthers && code === 'no-log-book') throw new WordsError(new NoManager(host).message);
    return undefined;
  };
  return withLogStore<number>({ data, mustExist: isOpenToOthers && !first, onFault }, async (log) => {
    const isAdded = first !== undefined && (await addFirstManager(log.people, first));
    const { address, close } = await start({ port: wanted, host, log, https });
    const lines = [`Oilshed is at ${address}`, `Its log book is in ${safe(logPlace(data).folder)}.`];
    if (isAdded) lines.push(`${safe(first.name)} may sign in, as manager.`);
    if (isOpenToOthers && !https) lines.push(...PLAIN_HTTP);
    process.stdout.write(`${lines.join('\n')}\nStop it with Ctrl+C.\n`);
    await new Promise<void>((stop) => {
      for (const signal of ['SIGINT', 'SIGTERM'] as const) process.once(signal, () => stop());
    });
    await close();
    return 0;
  });
}

const PLAIN_HTTP = [
  'This is plain http: passwords can be read on the way, and a phone stores nothing for when there is no network.',
  'Give --cert and --key, or let a proxy with https on this machine pass requests on to 127.0.0.1.',
];

async function start(at: Omit<Parameters<typeof listen>[0], 'root'>) {
  const root = join(dirname(fileURLToPath(import.meta.url)), '..', '..');
  try {
    return await listen({ root, ...at });
  } catch (error) {
    if (error instanceof NoManager) throw new WordsError(error.message);
    const { code, message } = error as NodeJS.ErrnoException;
    throw new InputError([
      `serve: ${code === 'EADDRINUSE' ? `port ${at.port ?? ''} is taken; give another with --port` : message}`,
    ]);
  }
}

/** The certificate and its key, where both are given. */
function readHttps(certFile: string | undefined, keyFile: string | undefined): Https | undefined {
  if (certFile === undefined && keyFile === undefined) return undefined;
  if (certFile === undefined || keyFile === undefined)
    throw new WordsError('https takes both --cert FILE and --key FILE');
  const https = { cert: readPem(certFile), key: readPem(keyFile) };
  try {
    createSecureContext(https);
  } catch {
    throw new InputError([
      `${safe(certFile)}: it is no certificate that goes with ${safe(keyFile)}; name the two as PEM, the key without a password`,
    ]);
  }
  return https;
}

function readPem(file: string): Buffer {
  try {
    return readFileSync(file);
  } catch (error) {
    throw new InputError([`${safe(file)}: ${fileReason(error)}`]);
  }
}
