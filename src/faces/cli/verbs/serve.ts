import { isIP } from 'node:net';
import { dirname, join } from 'node:path';
import { createSecureContext } from 'node:tls';
import { fileURLToPath } from 'node:url';
import type { Https } from '../../server/index.ts';
import { isOpenToOthers, isThisMachine, listen, NoManager, securityLog } from '../../server/index.ts';
import { addFirstManager, firstManager } from '../first-manager.ts';
import { InputError, numberWord, readBytes, UsageError } from '../input.ts';
import { logPlace, photoQuotaWord, withLogStore } from '../log-place.ts';
import { fileLine, safe } from '../print.ts';
import { say, voice } from '../voice.ts';
import { world } from '../world.ts';
import { roleName } from './people.ts';

interface ServeFlags {
  port?: string;
  host?: string;
  behind?: string;
  data?: string;
  cert?: string;
  key?: string;
  photoQuota?: string;
}

/**
 * `oilshed serve [--port N] [--data DIR] [--host ADDRESS] [--behind ADDRESS] [--cert FILE --key FILE] [--photo-quota SIZE]`:
 * the web app with its log book, on this machine alone or, once there is a manager, for others. The first manager may be named by
 * OILSHED_MANAGER. Runs until it is stopped.
 */
export async function serve({ port, host, behind, data, cert, key, photoQuota }: ServeFlags): Promise<number> {
  const wanted = port === undefined ? undefined : numberWord('--port', port, { atLeast: 1, atMost: 65_535 });
  const https = readHttps(cert, key);
  const photoQuotaBytes = photoQuotaWord(photoQuota);
  const reach = { host, behind: proxies(behind) };
  const isOpen = isOpenToOthers(reach);
  const first = firstManager(world().env);
  const onFault = ({ code }: { code: string }) => {
    if (isOpen && code === 'no-log-book') throw new UsageError(voice().tell(new NoManager(reach).told));
    return undefined;
  };
  return withLogStore<number>({ data, mustExist: isOpen && !first, onFault }, async (log) => {
    const isAdded = first !== undefined && (await addFirstManager(log.people, first));
    const { address, close } = await start({
      port: wanted,
      ...reach,
      log,
      https,
      photoQuotaBytes,
      security: securityLog(),
    });
    const lines = [say('cli.serve-at', { address }), say('cli.serve-book', { folder: logPlace(data).folder })];
    if (isAdded) lines.push(say('cli.people-added', { name: first.name, role: roleName('manager') }));
    if (host !== undefined && !isThisMachine(host) && !https)
      lines.push(say('cli.serve-plain-http'), say('cli.serve-use-https'));
    if (!isOpen && (await log.people.isEmpty())) lines.push(say('cli.serve-nobody'));
    lines.push(say('cli.serve-stop'));
    const stopped = new Promise<void>((stop) => {
      for (const signal of ['SIGINT', 'SIGTERM'] as const) process.once(signal, () => stop());
    });
    world().write(`${lines.map(safe).join('\n')}\n`);
    await stopped;
    await close();
    return 0;
  });
}

/** The addresses and networks of `--behind`, between commas. */
function proxies(words: string | undefined): string[] | undefined {
  const list = words?.split(',').map((word) => word.trim());
  const bad = list?.find((word) => !isAddressOrNetwork(word));
  if (bad === undefined) return list;
  throw new UsageError(say('cli-errors.behind', { word: JSON.stringify(safe(bad)) }));
}

/** A network of length 0 would be everybody. */
function isAddressOrNetwork(word: string): boolean {
  const [address, length, ...more] = word.split('/');
  const longest = { 0: 0, 4: 32, 6: 128 }[isIP(address)] ?? 0;
  if (longest === 0 || address.includes('%') || more.length > 0) return false;
  return length === undefined || (/^[1-9]\d{0,2}$/.test(length) && Number(length) <= longest);
}

async function start(at: Omit<Parameters<typeof listen>[0], 'root'>) {
  const root = join(dirname(fileURLToPath(import.meta.url)), '..', '..');
  try {
    return await listen({ root, ...at });
  } catch (error) {
    if (error instanceof NoManager) throw new UsageError(voice().tell(error.told));
    const { code, message } = error as NodeJS.ErrnoException;
    throw new InputError([
      code === 'EADDRINUSE'
        ? say('cli-errors.port-taken', { port: String(at.port ?? '') })
        : say('cli-errors.cannot-listen', { code: code ?? message }),
    ]);
  }
}

/** The certificate and its key, where both are given. */
function readHttps(certFile: string | undefined, keyFile: string | undefined): Https | undefined {
  if (certFile === undefined && keyFile === undefined) return undefined;
  if (certFile === undefined || keyFile === undefined) throw new UsageError(say('cli-errors.https-both'));
  const https = { cert: readBytes(certFile), key: readBytes(keyFile) };
  try {
    createSecureContext(https);
  } catch {
    throw new InputError([fileLine(certFile, say('cli-errors.certificate', { key: keyFile }))]);
  }
  return https;
}
