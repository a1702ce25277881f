import { asWritten, type Entry, type EntryId, type SealedEntry, type SiteId } from '../../../log-book/index.ts';
import type { Problem } from '../../../site-map/index.ts';
import { keepWord, keptWord, valueIn } from './device-words.ts';
import { allOnDevice, dropFromDevice, fromDevice, putOnDevice } from './on-device.ts';
import type { DemoYard } from './yard.ts';

/**
 * What the browser keeps on this device, store by store: what is put there, and what comes back. What another version of the program kept in another form is as nothing kept. Entries are kept as they
 * were written. Reading never rejects; keeping does where the browser keeps nothing or has no room.
 */

/** The yard to open at the next start: a demo yard by its name, one's own by its bytes. */
export type KeptYard = { demo: DemoYard } | { fileName: string; map: ArrayBuffer; findings: string | null };

/** What this device has read of a site's log book that no longer went on from it. */
export interface BookCopy {
  site: SiteId;
  /** From the first on; at least one. */
  entries: readonly SealedEntry[];
}

/** An entry that was written here and not yet shown by the log book, with its photos. */
export interface WaitingEntry {
  entry: Entry;
  photos: Blob[];
  /** Why the log book refused it; null while it only waits. */
  problems: readonly Problem[] | null;
}

const one = (...of: Parameters<typeof fromDevice>): Promise<unknown> => fromDevice(...of).catch(() => undefined);
const all = (store: Parameters<typeof allOnDevice>[0]): Promise<unknown[]> => allOnDevice(store).catch(() => []);

const forms = () => import('./forms.ts');

const LAST = 'last';
export const yardStore = {
  async get(): Promise<KeptYard | null> {
    const kept = await one('yard', LAST);
    return kept === undefined ? null : (await forms()).yardOf(kept);
  },
  put: (kept: KeptYard) => putOnDevice('yard', LAST, kept),
};

/** Photos of forms that are being filled in, by form and yard. */
export const photoStore = {
  async get(form: string): Promise<Blob[]> {
    const kept = await one('draft', form);
    return Array.isArray(kept) ? kept.filter((each) => each instanceof Blob) : [];
  },
  put: (form: string, photos: readonly Blob[]) => putOnDevice('draft', form, photos),
  drop: (form: string) => dropFromDevice('draft', form),
};

const MOST_MAPS = 6;
const MAP = 'map ';

/** One's own maps that were opened on this device, by their marks: the last few, so that an address of one finds it. */
export const mapStore = {
  async get(mark: string): Promise<KeptYard | null> {
    const kept = await one('yard', MAP + mark);
    return kept === undefined ? null : (await forms()).yardOf(kept);
  },
  async put(mark: string, kept: KeptYard): Promise<void> {
    await putOnDevice('yard', MAP + mark, kept);
    const marks = [...recentMarks().filter((each) => each !== mark), mark];
    for (const old of marks.slice(0, -MOST_MAPS)) await dropFromDevice('yard', MAP + old);
    keepWord(RECENT, JSON.stringify(marks.slice(-MOST_MAPS)));
  },
};

const RECENT = 'maps';
function recentMarks(): string[] {
  const marks = valueIn(keptWord(RECENT));
  return Array.isArray(marks) ? marks.filter((each) => typeof each === 'string') : [];
}

/** What was read of a site's log book, from its first entry on. */
export const bookStore = {
  async get(site: SiteId): Promise<readonly SealedEntry[] | null> {
    const kept = await one('book', site);
    return Array.isArray(kept) ? (await forms()).entriesOf(kept) : null;
  },
  put: (site: SiteId, entries: readonly SealedEntry[]) => putOnDevice('book', site, entries.map(asWritten)),
};

const keyOfCopy = ({ site, entries }: BookCopy) => `${site} ${entries.at(-1)?.hash}`;
export const copyStore = {
  keyOf: keyOfCopy,
  async all(): Promise<BookCopy[]> {
    const kept = await all('copy');
    if (kept.length === 0) return [];
    const { copyOf } = await forms();
    return kept.flatMap((value) => copyOf(value) ?? []);
  },
  put: (copy: BookCopy) => putOnDevice('copy', keyOfCopy(copy), { ...copy, entries: copy.entries.map(asWritten) }),
  drop: (copy: BookCopy) => dropFromDevice('copy', keyOfCopy(copy)),
};

export const waitingStore = {
  async all(): Promise<WaitingEntry[]> {
    const kept = await all('waiting');
    if (kept.length === 0) return [];
    const { waitingOf } = await forms();
    return kept.flatMap((value) => waitingOf(value) ?? []);
  },
  put: (each: WaitingEntry) => putOnDevice('waiting', each.entry.id, { ...each, entry: asWritten(each.entry) }),
  drop: (id: EntryId) => dropFromDevice('waiting', id),
};
