import { PassThrough } from 'node:stream';
import { told } from '../../catalogue/index.ts';
import type { LogStore } from '../../store/index.ts';
import { refused } from './problem-details.ts';

const POLL_MS = 2000;
/** How often an empty line is sent, so that no proxy on the way closes the stream. */
const STILL_HERE_MS = 25_000;
const NOTHING = ':\n\n';
const MOST_LISTENERS = 200;
const MOST_OF_ONE = 20;
/** A listener that leaves this many bytes unread is dropped. */
const MOST_UNREAD = 64 * 1024;

interface Listener {
  /** By site, the last `seq` that it was sent or already had. */
  seqs: Map<string, number>;
  /** Who listens, by name; null where nobody signs in. */
  name: string | null;
  /** Whether it may still hear. */
  isAllowed(): Promise<boolean>;
  stream: PassThrough;
}

/** Tells open screens when a site's chain of entries grows, as server-sent events. */
export interface Live {
  /** A stream of events for these sites: what comes after `seq` (left out, after what is there now). Refused over the bounds. */
  listen(who: Omit<Listener, 'stream' | 'seqs'> & { sites: readonly string[]; seq?: number }): Promise<PassThrough>;
  tell(site: string, seq: number): void;
  /** Ends every stream. */
  close(): void;
}

/** While anybody listens the book is read every two seconds, so that what another program wrote is sent too. */
export function liveOf(log: Pick<LogStore, 'heads'>): Live {
  const listeners = new Set<Listener>();
  let timers: NodeJS.Timeout[] = [];
  let isLooking = false;
  let isClosed = false;

  const send = (listener: Listener, text: string) => {
    if (listener.stream.writableLength > MOST_UNREAD) listener.stream.destroy();
    else if (listener.stream.writable) listener.stream.write(text);
  };
  const tell = (site: string, seq: number) => {
    for (const listener of listeners) {
      if (seq <= (listener.seqs.get(site) ?? Number.POSITIVE_INFINITY)) continue;
      listener.seqs.set(site, seq);
      send(listener, `id: ${seq}\nevent: entry\ndata: ${JSON.stringify({ site, seq })}\n\n`);
    }
  };
  const look = async () => {
    if (isLooking) return;
    isLooking = true;
    try {
      for (const { isAllowed, stream } of [...listeners]) if (!(await isAllowed())) stream.end();
      for (const { site, seq } of await log.heads()) tell(site, seq);
    } catch {
      // The database is busy or away; the next look tells what this one would have.
    }
    isLooking = false;
  };
  const sayStillHere = () => {
    for (const listener of listeners) send(listener, NOTHING);
  };
  const leave = (listener: Listener) => {
    listeners.delete(listener);
    if (listeners.size === 0) timers.forEach(clearInterval);
  };
  const join = (listener: Listener) => {
    listeners.add(listener);
    listener.stream.on('close', () => leave(listener));
    if (listeners.size === 1) timers = [setInterval(look, POLL_MS), setInterval(sayStillHere, STILL_HERE_MS)];
  };

  return {
    async listen({ sites, name, isAllowed, seq }) {
      const heads = new Map<string, number>((await log.heads()).map((each) => [each.site, each.seq]));
      const ofOne = name === null ? 0 : [...listeners].filter((each) => each.name === name).length;
      if (isClosed || listeners.size >= MOST_LISTENERS || ofOne >= MOST_OF_ONE)
        throw refused(
          'too-many-listeners',
          name !== null && ofOne >= MOST_OF_ONE
            ? told('server.browsers-of-one', { most: MOST_OF_ONE, name })
            : told('server.browsers-in-all', { most: MOST_LISTENERS }),
          told('server.close-some'),
        );
      const seqs = new Map(
        sites.map((site) => [site, Math.min(seq ?? Number.POSITIVE_INFINITY, heads.get(site) ?? 0)]),
      );
      const listener = { seqs, name, isAllowed, stream: new PassThrough() };
      // Something goes out at once, so that the other side sees the stream begin.
      listener.stream.write(NOTHING);
      join(listener);
      for (const site of sites) tell(site, heads.get(site) ?? 0);
      return listener.stream;
    },
    tell,
    close() {
      isClosed = true;
      // One who does not read on would never see an end, and hold up the server's.
      for (const { stream } of listeners) stream.destroy();
    },
  };
}
