import { batch, computed, effect, signal, untracked } from '@preact/signals';
import type { Entry, SealedEntry } from '../../../log-book/index.ts';
import type { Problem } from '../../../site-map/index.ts';
import { byName, setByName } from './by-name.ts';
import { allOnDevice, dropFromDevice, putOnDevice } from './on-device.ts';
import { hasPeople, person, refreshSession } from './session.ts';
import { isoTime, siteWord, uuidV7 } from './spill-entry.ts';
import { yard } from './yard.ts';

/** The site of the log book that belongs to the open map. */
export const site = computed(() => siteWord(yard.value?.map.site.name ?? ''));

/** Whether the log book answers: `away` while there is no network, `none` where this address has no log book. */
export const bookState = signal<'asking' | 'here' | 'away' | 'none' | 'sign-in'>('asking');

/** What the log book has of the site, in its order. */
const sealed = signal<readonly SealedEntry[]>([]);

/** An entry that was written here and not yet taken by the log book, with its photos. */
export interface WaitingEntry {
  entry: Entry;
  photos: Blob[];
  /** Why the log book refused it; null while it only waits. */
  problems: readonly Problem[] | null;
}
const waiting = signal<readonly WaitingEntry[]>([]);
const sealedIds = computed(() => new Set(sealed.value.map(({ id }) => id)));
/** Those of this site that are not in the log book yet. */
export const waitingHere = computed(() =>
  waiting.value.filter(({ entry }) => entry.site === site.value && !sealedIds.value.has(entry.id)),
);

/** All entries of the site, those that wait among them: what was written here counts at once. */
export const entries = computed((): readonly (Entry & Partial<SealedEntry>)[] => [
  ...sealed.value,
  ...waitingHere.value.map(({ entry }) => entry),
]);

const PAGE = 2000;
const AGAIN_MS = 30_000;

/** Reads what has come to the log book since it was read last. One reading at a time; the promise never rejects. */
let reading: Promise<void> = Promise.resolve();
export function readBook(): Promise<void> {
  reading = reading.then(readOn);
  return reading;
}

async function readOn(): Promise<void> {
  const asked = site.value;
  for (;;) {
    const after = sealed.value.at(-1)?.seq ?? 0;
    const query = new URLSearchParams({ site: asked, after: String(after), limit: String(PAGE) });
    const reply = await request(`/api/entries?${query}`);
    if (site.value !== asked) return;
    if (!reply.isJson) {
      bookState.value = reply.status === 0 ? 'away' : 'none';
      return;
    }
    if (reply.status === 401) {
      bookState.value = 'sign-in';
      return;
    }
    if (reply.status !== 200) {
      bookState.value = reply.status === 404 ? 'none' : 'away';
      return;
    }
    const { entries: more, more: isMore } = reply.body as { entries: SealedEntry[]; more: boolean };
    batch(() => {
      bookState.value = 'here';
      if (more.length > 0) sealed.value = [...sealed.value, ...more];
    });
    if (!isMore) return;
  }
}

interface Reply {
  /** 0 where nothing answered. */
  status: number;
  isJson: boolean;
  body: unknown;
}

async function request(path: string, options?: RequestInit): Promise<Reply> {
  try {
    const response = await fetch(path, { cache: 'no-store', ...options });
    const isJson = /json/.test(response.headers.get('content-type') ?? '');
    return { status: response.status, isJson, body: isJson ? await response.json() : null };
  } catch {
    return { status: 0, isJson: false, body: null };
  }
}

/** Whether who is signed in may write here. Where nobody is asked who they are, anybody may. */
export const mayWrite = computed(() => !(hasPeople.value && person.value?.role === 'viewer'));

/** What a person writes; id, site and time with the site's offset are added. */
export type Written = Pick<Entry, 'kind' | 'body'> & { by: string; atMs?: number };

/** Keeps an entry on this device and sends it as soon as the log book answers. `isSafe` is false where the device has no room for it. */
export async function write(
  { kind, body, by, atMs }: Written,
  photos: readonly Blob[] = [],
): Promise<{ id: string; isSafe: boolean }> {
  const now = Date.now();
  const entry: Entry = {
    id: uuidV7(now, crypto.getRandomValues(new Uint8Array(10))),
    site: site.value,
    kind,
    at: isoTime(atMs ?? now, yard.value?.map.site.timeZone),
    by: by.trim() || 'not named',
    body,
  };
  const each: WaitingEntry = { entry, photos: [...photos], problems: null };
  const isKept = await putOnDevice('waiting', entry.id, each).then(
    () => true,
    () => false,
  );
  waiting.value = [...waiting.value, each];
  await sendWaiting();
  // Where nothing could be kept here, only what the log book took is safe.
  return { id: entry.id, isSafe: isKept || sealedIds.value.has(entry.id) };
}

let isSending = false;

/** Sends what waits, in the order in which it was written, until one finds no answer. */
export async function sendWaiting(): Promise<void> {
  if (isSending) return;
  isSending = true;
  try {
    for (const each of waiting.value) {
      if (each.problems === null && !(await send(each))) break;
    }
    if (bookState.value !== 'asking') await readBook();
    // They stay in the list until the log book has shown them.
    waiting.value = waiting.value.filter(({ entry }) => !taken.has(entry.id));
  } finally {
    isSending = false;
  }
}

/** Ids that the log book has taken. */
const taken = new Set<string>();

/** Whether the next one may be sent: false where nothing answered, or nobody is signed in. */
async function send(each: WaitingEntry): Promise<boolean> {
  const { entry, photos } = each;
  const names: string[] = [];
  for (const photo of photos) {
    const reply = await request('/api/photos', {
      method: 'POST',
      headers: { 'content-type': photo.type },
      body: photo,
    });
    if (reply.status !== 201) return refused(each, reply);
    names.push((reply.body as { sha256: string }).sha256);
  }
  const reply = await request('/api/entries', {
    method: 'POST',
    headers: { 'content-type': 'application/json' },
    body: JSON.stringify(names.length > 0 ? { ...entry, photos: names } : entry),
  });
  if (reply.status !== 201) return refused(each, reply);
  taken.add(entry.id);
  await dropFromDevice('waiting', entry.id).catch(() => {});
  return true;
}

const TRY_LATER = [408, 429];

function refused(each: WaitingEntry, { status, isJson, body }: Reply): boolean {
  if (status === 401) bookState.value = 'sign-in';
  const isFinal = isJson && status >= 400 && status < 500 && status !== 401 && !TRY_LATER.includes(status);
  if (!isFinal) {
    if (status === 0) bookState.value = 'away';
    return false;
  }
  const told = { ...each, problems: (body as { problems?: Problem[] }).problems ?? [] };
  waiting.value = waiting.value.map((other) => (other === each ? told : other));
  void putOnDevice('waiting', each.entry.id, told).catch(() => {});
  return true;
}

/** Puts the open map into the log book, and an entry that says so. What went wrong in words; null where nothing did. */
export async function keepMap(by: string): Promise<string | null> {
  const open = yard.value;
  if (!open) return null;
  const reply = await request('/api/maps', {
    method: 'POST',
    headers: { 'content-type': 'application/geo+json' },
    body: open.mapText,
  });
  if (reply.status !== 201) {
    return reply.status === 403
      ? 'Only a manager may put a map into the log book.'
      : 'The log book did not take the map; try again later.';
  }
  const { sha256 } = reply.body as { sha256: string };
  await write({ kind: 'map', body: { sha256, name: open.fileName }, by });
  return null;
}

/** Takes an entry that was refused off this device. */
export function forgetWaiting(id: string): void {
  waiting.value = waiting.value.filter(({ entry }) => entry.id !== id);
  void dropFromDevice('waiting', id).catch(() => {});
}

/** Keeps the log book in step with the open map and with what others write, for as long as the page lives. */
export function keepBook(): void {
  void takeUpWaiting();
  void refreshSession();
  effect(() => {
    // Another person may be shown another book, or none.
    const [asked] = [site.value, person.value?.name];
    if (!yard.value) return undefined;
    return untracked(() => follow(asked));
  });
  effect(() => {
    // Whoever signs in signs what is written, unless a name was written here before.
    if (hasPeople.value && person.value && byName.peek() === '') setByName(person.value.name);
  });
  addEventListener('online', () => void sendWaiting());
  setInterval(() => {
    if (waiting.value.some(({ problems }) => problems === null) || bookState.value === 'away') void sendWaiting();
  }, AGAIN_MS);
}

async function takeUpWaiting(): Promise<void> {
  const kept = await allOnDevice('waiting').catch(() => []);
  if (kept.length === 0) return;
  waiting.value = [...(kept as WaitingEntry[]), ...waiting.value];
  await sendWaiting();
}

/** Reads a site's log book and listens to it; what comes back ends the listening. */
function follow(asked: string): () => void {
  batch(() => {
    sealed.value = [];
    bookState.value = 'asking';
  });
  let events: EventSource | undefined;
  let isOver = false;
  void readBook().then(() => {
    if (isOver || bookState.value !== 'here') return;
    void sendWaiting();
    events = new EventSource(`/api/events?${new URLSearchParams({ site: asked })}`);
    events.addEventListener('entry', () => void readBook());
    // After a break others may have written.
    events.addEventListener('open', () => void sendWaiting());
  });
  return () => {
    isOver = true;
    events?.close();
  };
}
