import { batch, computed, effect, signal, untracked } from '@preact/signals';
import type { Entry, SealedEntry, SiteId } from '../../../log-book/index.ts';
import { siteWord } from '../../../words/index.ts';
import { isHidden, keepCopy, loadCopies, setHidden } from './book-copies.ts';
import { setSignedName } from './by-name.ts';
import { type BookCopy, bookStore } from './device-stores.ts';
import { keepSending, sendWaiting, waiting } from './outbox.ts';
import { entriesIn, saysNoBook } from './replies.ts';
import { request } from './request.ts';
import { hasLogBook, hasPeople, isSignInNeeded, mustChangePassword, person, refreshSession } from './session.ts';
import { listenTo, shareSignIn } from './stream/tab.ts';
import { say } from './voice.ts';
import { notice, yard } from './yard.ts';

/** The site of the log book that belongs to the open map. */
export const site = computed(() => siteWord(yard.value?.map.site.name ?? ''));

/** Whether the log book answers: `away` while there is no network, `none` where this address has no log book. */
export const bookState = signal<'asking' | 'here' | 'away' | 'none' | 'sign-in'>('asking');

/** What the log book has of the site, in its order. */
const sealed = signal<readonly SealedEntry[]>([]);
/** Whether that came from the log book itself, and not from what this device kept of it. */
let isFresh = false;
/** Whether it was read to its end. */
const isWhole = signal(false);
/** What the log book has of the site, once it was read to its end; null before. */
export const bookRead = computed(() => (isWhole.value && bookState.value === 'here' ? sealed.value : null));
/** Whether what this device keeps may give way to what it reads now. */
let isReplaceable = true;

const sealedIds = computed(() => new Set(sealed.value.map(({ id }) => id)));
/** Those of this site that the log book has not shown yet. */
export const waitingHere = computed(() =>
  waiting.value.filter(({ entry }) => entry.site === site.value && !sealedIds.value.has(entry.id)),
);

/** All entries of the site, those that wait among them: what was written here counts at once. */
export const entries = computed((): readonly (Entry & Partial<SealedEntry>)[] => [
  ...sealed.value,
  ...waitingHere.value.map(({ entry }) => entry),
]);

/** Who is signed in and may read; null where nobody is, or nobody has to. */
const signedIn = computed(() => (hasPeople.value && !mustChangePassword.value ? (person.value?.name ?? null) : null));
/** Whether who is signed in may write here, and put maps, and entries that it lost, into the log book. Where nobody is asked who they are, anybody may. */
export const mayWrite = computed(
  () => !(hasPeople.value && (person.value?.role === 'viewer' || mustChangePassword.value)),
);
export const mayKeepMaps = computed(() => !hasPeople.value || person.value?.role === 'manager');

const PAGE = 2_000;
/** A longer log book is read anew each time. */
const MOST_KEPT = 20_000;

/** Reads what has come to the log book since it was read last. One reading at a time; the promise never rejects. */
let reading: Promise<void> = Promise.resolve();
export function readBook(): Promise<void> {
  reading = reading.then(readOn).catch(() => {
    bookState.value = 'away';
  });
  return reading;
}

async function readOn(): Promise<void> {
  if (hasLogBook.value === false) {
    bookState.value = 'none';
    return;
  }
  if (mustChangePassword.value) {
    bookState.value = 'sign-in';
    return;
  }
  const asked = site.value;
  for (;;) {
    // The last entry that was read is asked for again: its hash tells whether the book still goes on from it.
    const before = sealed.value;
    const last = before.at(-1);
    const after = last ? last.seq - 1 : 0;
    const query = new URLSearchParams({ site: asked, after: String(after), limit: String(PAGE) });
    const reply = await request(`api/entries?${query}`);
    const { status, isJson } = reply;
    const page = status === 200 ? await entriesIn(reply) : undefined;
    if (site.value !== asked) return;
    // Begun again in between, as after signing in.
    if (sealed.value !== before) continue;
    if (!page) {
      // The session ended: whoever signs in next is somebody new, even under the same name.
      if (status === 401 && person.value !== null) await refreshSession();
      bookState.value = stateOf(status, isJson);
      if (status === 401) {
        sealed.value = [];
        // Whoever comes next on this device may not be shown it before they sign in.
        setHidden(true);
      }
      return;
    }
    const { entries: more, isMore } = page;
    const isSame = last === undefined || more[0]?.hash === last.hash;
    const fresh = more.slice(last === undefined ? 0 : 1);
    isFresh = true;
    setHidden(false);
    batch(() => {
      bookState.value = 'here';
      isWhole.value = isSame && !isMore;
      if (!isSame) sealed.value = [];
      else if (fresh.length > 0) sealed.value = [...sealed.value, ...fresh];
    });
    if (!isSame) await keepWitness({ site: asked, entries: before });
    if (!isSame || isMore) continue;
    if (fresh.length > 0 && sealed.value.length <= MOST_KEPT && isReplaceable) {
      void bookStore.put(asked, sealed.value).catch(() => {});
    }
    return;
  }
}

/** The book no longer goes on from what this device has read, which is kept, and told. */
async function keepWitness(copy: BookCopy): Promise<void> {
  notice.value = {
    title: say('state.book-differs'),
    rest: say('state.book-differs-do'),
    problems: [],
  };
  isReplaceable = (await keepCopy(copy)) && isReplaceable;
}

/** What an answer that is no list says of the log book. A page or nothing where it should be is no log book. */
function stateOf(status: number, isJson: boolean): (typeof bookState)['value'] {
  if (status === 401) return 'sign-in';
  return status === 404 || (status === 200 && !isJson) ? 'none' : 'away';
}

const RETRY_MS = 10_000;

/** Keeps the log book in step with the open map and with what others write, for as long as the page lives. */
export function keepBook(): void {
  const found = findBook();
  const beAway = () => {
    if (bookState.value === 'here') bookState.value = 'away';
  };
  keepSending({ whenSent: readBook, whenUnreached: beAway, isShown: (id) => sealedIds.value.has(id) });
  effect(() => {
    // Another person may be shown another book, or none.
    const [asked] = [site.value, signedIn.value];
    if (yard.value) untracked(() => void begin(asked, found));
  });
  effect(() => {
    // The stream of events is opened whenever the log book answers, and opened again after a break.
    const [asked, state] = [site.value, bookState.value];
    return state === 'here' ? untracked(() => listenTo(asked, { changed, refused })) : undefined;
  });
  effect(() => setSignedName(signedIn.value));
  syncTabs();
  void loadCopies();
  const again = () => void sendWaiting().then(readBook);
  addEventListener('online', again);
  addEventListener('offline', beAway);
  setInterval(() => {
    if (bookState.value === 'away') again();
  }, RETRY_MS);
}

/** All tabs of a browser have one session: what one person was shown may not stay in a tab for the next. */
function syncTabs(): void {
  const who = computed(() => JSON.stringify([hasPeople.value, signedIn.value, mustChangePassword.value]));
  let shared = who.value;
  const share = shareSignIn((others) => {
    if (others === who.value) return;
    shared = others;
    void refreshSession();
  });
  effect(() => {
    if (!hasLogBook.value || who.value === shared) return;
    shared = who.value;
    share(shared);
  });
  // A page that was put away and comes back has heard nothing meanwhile.
  addEventListener('pageshow', ({ persisted }: PageTransitionEvent) => {
    if (persisted) void refreshSession();
  });
}

const changed = () => void readBook();
function refused(): void {
  bookState.value = 'away';
  // It may be that the session has ended.
  void refreshSession();
}

/** Asks what answers at this address, and who is signed in there; a page may be served without a log book. */
async function findBook(): Promise<void> {
  if (hasLogBook.value === false) return;
  if (saysNoBook(await request('api/health'))) hasLogBook.value = false;
  else await refreshSession();
}

/** Shows what this device kept of a site's log book, until the log book itself answers; then sends what waits. */
async function begin(asked: SiteId, found: Promise<void>): Promise<void> {
  batch(() => {
    sealed.value = [];
    isWhole.value = false;
    bookState.value = 'asking';
  });
  isFresh = false;
  const kept = await bookStore.get(asked);
  const showKept = () => {
    if (kept && site.value === asked && !isFresh && sealed.value.length === 0) sealed.value = kept;
  };
  if (!isHidden() && !isSignInNeeded.value) showKept();
  await found;
  if (isSignInNeeded.value) setHidden(true);
  // Where nothing answers nobody knows who sits here.
  else if (!isHidden() || hasLogBook.value) showKept();
  await readBook();
  await sendWaiting();
}
