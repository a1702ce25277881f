import { openChannel } from './messages.ts';

/** A tab that has not asked for events for this long is closed. Browsers let hidden tabs run once a minute. */
const STALE_TAB_MS = 200_000;

interface Holding {
  /** Ends the stream, and lets another hold it. */
  leave(): void;
}

/**
 * Takes part in choosing the one tab or worker that holds the browser's stream of events: a browser opens at most six
 * connections to a server, and a stream for each tab would soon take them all. Once a tab asks for events and nobody has
 * opened the stream within `timeoutMs`, this one opens it. If two do so at once, the lower word keeps it. `address` is that
 * of the events.
 */
export function joinElection(address: string, word: string, timeoutMs: () => number): Holding {
  const wanted = new Map<string, { site: string; saidMs: number }>();
  let events: EventSource | null = null;
  let sites: readonly string[] = [];
  let isHolding = false;
  let who = '';
  let waits: ReturnType<typeof setTimeout> | undefined;

  const { tell } = openChannel(address, (message) => {
    switch (message.kind) {
      case 'wants':
        wanted.set(message.from, { site: message.site, saidMs: Date.now() });
        if (isHolding) follow();
        else waits ??= setTimeout(hold, timeoutMs());
        break;
      case 'wants no more':
        wanted.delete(message.from);
        if (isHolding) follow();
        break;
      case 'holds':
        stopWaiting();
        if (!isHolding) break;
        if (message.from < word) release();
        else say();
        break;
      case 'signed in':
        // The stream is theirs who were signed in when it was opened.
        if (isHolding && message.who !== who) open(sites);
        who = message.who;
        break;
    }
  });

  const say = () => tell({ kind: 'holds', from: word, sites: events?.readyState === EventSource.OPEN ? sites : [] });
  const stopWaiting = () => {
    clearTimeout(waits);
    waits = undefined;
  };
  function hold(): void {
    stopWaiting();
    isHolding = true;
    follow();
  }
  function release(): void {
    isHolding = false;
    open([]);
  }
  /** Brings the stream in step with what is wanted. */
  function follow(): void {
    for (const [from, { saidMs }] of wanted) if (Date.now() - saidMs > STALE_TAB_MS) wanted.delete(from);
    const now = [...new Set([...wanted.values()].map(({ site }) => site))].sort();
    if (now.join('\n') !== sites.join('\n')) open(now);
    else say();
  }
  function open(anew: readonly string[]): void {
    events?.close();
    events = null;
    sites = anew;
    if (anew.length > 0) events = listen(`${address}?${new URLSearchParams(anew.map((site) => ['site', site]))}`);
    if (isHolding) say();
  }
  function listen(of: string): EventSource {
    const made = new EventSource(of);
    made.addEventListener('open', say);
    made.addEventListener('entry', ({ data }) => {
      const { site }: { site: string } = JSON.parse(data);
      tell({ kind: 'entry', site });
    });
    made.addEventListener('error', () => {
      // It is not tried again by itself where something other than events answered.
      if (made.readyState !== EventSource.CLOSED) return say();
      wanted.clear();
      open([]);
      tell({ kind: 'refused' });
    });
    return made;
  }

  return {
    leave() {
      stopWaiting();
      if (!isHolding) return;
      release();
      tell({ kind: 'holds no more' });
    },
  };
}
