import { PassThrough } from 'node:stream';
import type { LogStore } from '../store/index.ts';
import { refused } from './problem-details.ts';

const LOOK_MS = 2000;
/** So often a line that says nothing goes out, so that nobody in between takes the stream for dead. */
const STILL_HERE_MS = 25_000;
const NOTHING = ':\n\n';
const MOST_LISTENERS = 200;
const MOST_OF_ONE = 20;
/** A listener that leaves so many bytes unread is let go. */
const MOST_UNREAD = 64 * 1024;

interface Listener {
  site: string;
  /** Who listens, by name; null where nobody signs in. */
  name: string | null;
  /** The last seq it was told, or had. */
  seq: number;
  /** Whether it may still hear. */
  isAllowed(): Promise<boolean>;
  stream: PassThrough;
}

/** Tells open screens when a site's chain of entries grows, as server-sent events. */
export interface Live {
  /** A stream of events for one site: what comes after `seq` (left out, after what is there now). Refused over the bounds. */
  listen(who: Omit<Listener, 'stream' | 'seq'> & { seq?: number }): Promise<PassThrough>;
  tell(site: string, seq: number): void;
  /** Ends every stream. */
  close(): void;
}

/** While anybody listens it looks every two seconds, so that what another program wrote is told too. */
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
      if (listener.site !== site || seq <= listener.seq) continue;
      listener.seq = seq;
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
    if (listeners.size === 1) timers = [setInterval(look, LOOK_MS), setInterval(sayStillHere, STILL_HERE_MS)];
  };

  return {
    async listen({ site, name, isAllowed, seq }) {
      const head = (await log.heads()).find((each) => each.site === site)?.seq ?? 0;
      const ofOne = name === null ? 0 : [...listeners].filter((each) => each.name === name).length;
      if (isClosed || listeners.size >= MOST_LISTENERS || ofOne >= MOST_OF_ONE)
        throw refused(
          'too-many-listeners',
          ofOne >= MOST_OF_ONE
            ? `${MOST_OF_ONE} screens of ${name} listen already`
            : `${MOST_LISTENERS} screens listen already`,
          'close some, or try again later',
        );
      const listener = { site, name, isAllowed, seq: Math.min(seq ?? head, head), stream: new PassThrough() };
      // Something goes out at once, so that the other side sees the stream begin.
      listener.stream.write(NOTHING);
      join(listener);
      tell(site, head);
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
