import { joinElection } from './holder.ts';
import { openChannel } from './messages.ts';

/** So often a tab says that it wants to hear. */
const RETRY_MS = 5_000;
/** A tab leaves the stream to the worker of all tabs, if there is one; some chance, so that two seldom begin at once. */
const TIMEOUT_MS = 800;
const CHANCE_MS = 600;

const word = `b ${crypto.getRandomValues(new Uint32Array(2)).join('-')}`;
const address = () => new URL('api/events', document.baseURI).href;

let isReady = false;

/** Has a worker that all tabs share hold the stream. Where there is none one of the tabs does. */
function getReady(): void {
  if (isReady) return;
  isReady = true;
  if ('SharedWorker' in globalThis)
    new SharedWorker(new URL('./stream-worker.ts', import.meta.url), { type: 'module', name: address() });
  const { leave } = joinElection(address(), word, () => TIMEOUT_MS + CHANCE_MS * Math.random());
  addEventListener('pagehide', leave);
}

/** Hears of new entries of a site, by the one stream of this browser, until what comes back is called. */
export function listenTo(site: string, on: { changed(): void; refused(): void }): () => void {
  getReady();
  let holder = '';
  let isHearing = false;
  const { tell, close } = openChannel(address(), (message) => {
    switch (message.kind) {
      case 'holds': {
        const isNow = message.sites.includes(site);
        // Between the reading and the listening others may have written.
        if (isNow && !isHearing) on.changed();
        isHearing = isNow;
        if (message.from === holder) break;
        holder = message.from;
        want();
        break;
      }
      case 'holds no more':
        want();
        break;
      case 'entry':
        if (message.site === site) on.changed();
        break;
      case 'refused':
        on.refused();
        break;
    }
  });
  const want = () => tell({ kind: 'wants', from: word, site });
  const leave = () => tell({ kind: 'wants no more', from: word });
  want();
  const timer = setInterval(want, RETRY_MS);
  addEventListener('pageshow', want);
  addEventListener('pagehide', leave);
  return () => {
    clearInterval(timer);
    removeEventListener('pageshow', want);
    removeEventListener('pagehide', leave);
    leave();
    close();
  };
}

/** Hears who is signed in in another tab, where it says so; what comes back tells the others who is in this one. */
export function shareSignIn(heard: (who: string) => void): (who: string) => void {
  const { tell } = openChannel(address(), (message) => {
    if (message.kind === 'signed in') heard(message.who);
  });
  return (who) => tell({ kind: 'signed in', who });
}
