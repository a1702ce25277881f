import { signal } from '@preact/signals';
import { told } from '../../../catalogue/index.ts';
import { asWritten, type BodyOf, type EntryId, type EntryKind, type NewEntry } from '../../../log-book/index.ts';
import { isoTime, type Problem } from '../../../site-map/index.ts';
import { siteWord } from '../../../words/index.ts';
import { type WaitingEntry, waitingStore } from './device-stores.ts';
import { problemsIn, said } from './replies.ts';
import { type Reply, request } from './request.ts';
import { hasLogBook } from './session.ts';
import { zoneOfSite } from './site-time.ts';
import { uuidV7 } from './spill-entry.ts';
import { say, voice } from './voice.ts';
import { notice, type OpenYard } from './yard.ts';

/** What waits on this device. */
export const waiting = signal<readonly WaitingEntry[]>([]);

/** Ids that the log book has taken. */
const taken = new Set<EntryId>();

/** What is written; site and time with the site's offset are added, and an id where it has none of its own. */
export type Written = What & { by: string; atMs?: number; id?: EntryId };
export type What = { [K in EntryKind]: { kind: K; body: BodyOf<K> } }[EntryKind];

/**
 * Keeps an entry of a yard on this device, and sends it as soon as the log book answers. Comes back once it is kept: by the
 * device, or where that has no room by the log book. `isSafe` is false where neither did; it is gone then.
 */
export async function write(
  open: OpenYard,
  { by, atMs, id: ownId, ...what }: Written,
  photos: readonly Blob[] = [],
): Promise<{ id: EntryId; isSafe: boolean }> {
  const { site } = open.map;
  const now = Date.now();
  const id = ownId ?? uuidV7(now, crypto.getRandomValues(new Uint8Array(10)));
  const at = isoTime(atMs ?? now, zoneOfSite(site));
  const entry: NewEntry = { ...what, id, site: siteWord(site.name ?? ''), at, by: by.trim() || 'not named' };
  const each: WaitingEntry = { entry, photos: [...photos], problems: null };
  const isKept = await waitingStore.put(each).then(
    () => true,
    () => false,
  );
  waiting.value = [...waiting.value.filter((other) => other.entry.id !== id), each];
  const sent = sendWaiting();
  if (isKept) return { id, isSafe: true };
  await sent;
  if (taken.has(id)) return { id, isSafe: true };
  waiting.value = waiting.value.filter((other) => other.entry.id !== id);
  return { id, isSafe: false };
}

/** Writes an entry, and shows a notice where it could not be kept. */
export async function writeOrShowFault(...what: Parameters<typeof write>): Promise<void> {
  const { isSafe } = await write(...what);
  if (!isSafe) notice.value = { title: say('log-screen.not-kept'), rest: voice.value.tell(NO_ROOM), problems: [] };
}
export const NO_ROOM = told('log-screen.no-room');

let sending: Promise<void> | null = null;
let isAskedAgain = false;

/** Sends what waits, in the order in which it was written. Called while it sends, it looks through the list once more. */
export function sendWaiting(): Promise<void> {
  isAskedAgain = true;
  sending ??= sendUntilDone().finally(() => {
    sending = null;
  });
  return sending;
}

async function sendUntilDone(): Promise<void> {
  while (isAskedAgain) {
    isAskedAgain = false;
    if (hasLogBook.value === false) return;
    let isAny = false;
    for (const each of waiting.value) {
      if (each.problems !== null || taken.has(each.entry.id)) continue;
      const answer = await send(each);
      if (answer === 'nobody') break;
      isAny ||= answer === 'taken';
    }
    if (isAny) await whenSent();
    // It stays in the list until the log book has shown it.
    waiting.value = waiting.value.filter(({ entry: { id } }) => !(taken.has(id) && isShown(id)));
  }
}

let whenSent: () => Promise<void> = async () => {};
let whenUnreached: () => void = () => {};
let isShown: (id: EntryId) => boolean = () => true;

const RETRY_MS = 10_000;

/** Takes up what waits on this device, and sends it again and again until the log book has it. */
export function keepSending(book: {
  whenSent(): Promise<void>;
  /** Nothing answered. */
  whenUnreached(): void;
  isShown(id: EntryId): boolean;
}): void {
  ({ whenSent, whenUnreached, isShown } = book);
  void waitingStore.all().then((kept) => {
    const here = new Set(waiting.value.map(({ entry }) => entry.id));
    const found = kept.filter(({ entry }) => !here.has(entry.id));
    if (found.length === 0) return;
    // Ids are in the order of time.
    waiting.value = [...found, ...waiting.value].sort((a, b) => (a.entry.id < b.entry.id ? -1 : 1));
    void sendWaiting();
  });
  setInterval(() => {
    if (waiting.value.some(({ entry, problems }) => problems === null && !taken.has(entry.id))) void sendWaiting();
  }, RETRY_MS);
}

/** A photo over a bad connection takes minutes. */
const PHOTO_TIMEOUT_MS = 180_000;

/** `nobody` where nothing answered, or nobody is signed in: then the others wait too. */
async function send(each: WaitingEntry): Promise<'taken' | 'not now' | 'nobody'> {
  const { entry, photos } = each;
  const names: string[] = [];
  for (const photo of photos) {
    const options = { method: 'POST', headers: { 'content-type': photo.type }, body: photo };
    const reply = await request(`api/photos?${new URLSearchParams({ site: entry.site })}`, options, PHOTO_TIMEOUT_MS);
    const kept = reply.status === 201 ? await said(({ keptPhoto }) => keptPhoto, reply) : undefined;
    if (!kept) return notTaken(each, reply);
    names.push(kept.sha256);
  }
  const reply = await request('api/entries', {
    method: 'POST',
    headers: { 'content-type': 'application/json' },
    body: JSON.stringify(names.length > 0 ? { ...asWritten(entry), photos: names } : asWritten(entry)),
  });
  if (reply.status !== 201) return notTaken(each, reply);
  taken.add(entry.id);
  await waitingStore.drop(entry.id).catch(() => {});
  return 'taken';
}

/** What sending again cannot change. Who may not write now, others may. */
const FINAL = [400, 409, 413, 415];

async function notTaken(each: WaitingEntry, reply: Reply): Promise<'not now' | 'nobody'> {
  const { status } = reply;
  if (status === 0) whenUnreached();
  if (status === 0 || status === 401) return 'nobody';
  const problems = await problemsIn(reply);
  // A proxy before the log book may refuse what is large, without its words.
  if (FINAL.includes(status) && (problems || status === 413)) setProblems(each, problems ?? TOO_LARGE);
  return 'not now';
}

const TOO_LARGE: readonly Problem[] = [
  {
    code: 'too-large',
    severity: 'error',
    id: null,
    field: null,
    message: told('log-screen.too-large'),
    cure: told('log-screen.leave-photo-out'),
  },
];

function setProblems(each: WaitingEntry, problems: readonly Problem[] | null): void {
  const changed = { ...each, problems };
  waiting.value = waiting.value.map((other) => (other.entry.id === each.entry.id ? changed : other));
  void waitingStore.put(changed).catch(() => {});
}

/** Sends an entry that was refused once more. */
export function sendAgain(each: WaitingEntry): void {
  setProblems(each, null);
  void sendWaiting();
}

/** Takes an entry that was refused off this device. */
export function forgetWaiting(id: EntryId): void {
  waiting.value = waiting.value.filter(({ entry }) => entry.id !== id);
  void waitingStore.drop(id).catch(() => {});
}
