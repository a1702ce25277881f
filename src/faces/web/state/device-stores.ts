import * as z from 'zod';
import {
  asWritten,
  type Entry,
  type EntryId,
  keptEntry,
  keptSealedEntry,
  type SealedEntry,
  type SiteId,
} from '../../../log-book/index.ts';
import type { Problem } from '../../../site-map/index.ts';
import { allOnDevice, dropFromDevice, fromDevice, putOnDevice } from './on-device.ts';
import type { VisitDraft } from './visit-draft.ts';
import { DEMO_YARDS, type DemoYard } from './yard.ts';

/**
 * What the browser keeps on this device, store by store: what is put there, and the one place where what comes back
 * becomes typed. What another version of the program kept in another form is as nothing kept. Entries are kept as they
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

const text = z.string();
const yardShape = z.union([
  z.object({ demo: z.enum(DEMO_YARDS.map(({ id }) => id)) }),
  z.object({ fileName: text, map: z.instanceof(ArrayBuffer), findings: text.nullable() }),
]) satisfies z.ZodType<KeptYard>;
const draftShape = z.looseObject({
  at: text,
  when: text,
  since: text,
  condition: z.looseObject({}),
  chambers: z.array(z.looseObject({ name: text })),
  note: text,
  photos: z.array(z.instanceof(Blob)),
});
const isDraft = (value: unknown): value is VisitDraft => draftShape.safeParse(value).success;
const copyShape = z.object({ entries: z.array(z.unknown()).min(1) });
const waitingShape = z.object({
  entry: z.unknown(),
  photos: z.array(z.instanceof(Blob)),
  problems: z
    .array(z.custom<Problem>((value) => z.object({ message: text, cure: text }).safeParse(value).success))
    .nullable(),
});

/** The entries in a list; null where one cannot be read. */
function entriesIn(values: readonly unknown[]): SealedEntry[] | null {
  const entries = values.flatMap((value) => keptSealedEntry(value) ?? []);
  return entries.length === values.length ? entries : null;
}

const one = (...of: Parameters<typeof fromDevice>): Promise<unknown> => fromDevice(...of).catch(() => undefined);
const all = (store: Parameters<typeof allOnDevice>[0]): Promise<unknown[]> => allOnDevice(store).catch(() => []);

const LAST = 'last';
export const yardStore = {
  get: async (): Promise<KeptYard | null> => yardShape.safeParse(await one('yard', LAST)).data ?? null,
  put: (kept: KeptYard) => putOnDevice('yard', LAST, kept),
};

export const draftStore = {
  async get(site: SiteId): Promise<VisitDraft | null> {
    const kept = await one('draft', site);
    return isDraft(kept) ? kept : null;
  },
  put: (site: SiteId, draft: VisitDraft) => putOnDevice('draft', site, draft),
  drop: (site: SiteId) => dropFromDevice('draft', site),
};

/** What was read of a site's log book, from its first entry on. */
export const bookStore = {
  async get(site: SiteId): Promise<readonly SealedEntry[] | null> {
    const kept = await one('book', site);
    return Array.isArray(kept) ? entriesIn(kept) : null;
  },
  put: (site: SiteId, entries: readonly SealedEntry[]) => putOnDevice('book', site, entries.map(asWritten)),
};

const keyOfCopy = ({ site, entries }: BookCopy) => `${site} ${entries.at(-1)?.hash}`;
export const copyStore = {
  keyOf: keyOfCopy,
  async all(): Promise<BookCopy[]> {
    return (await all('copy')).flatMap((value) => {
      const entries = entriesIn(copyShape.safeParse(value).data?.entries ?? []);
      return entries && entries.length > 0 ? [{ site: entries[0].site, entries }] : [];
    });
  },
  put: (copy: BookCopy) => putOnDevice('copy', keyOfCopy(copy), { ...copy, entries: copy.entries.map(asWritten) }),
  drop: (copy: BookCopy) => dropFromDevice('copy', keyOfCopy(copy)),
};

export const waitingStore = {
  async all(): Promise<WaitingEntry[]> {
    return (await all('waiting')).flatMap((value) => {
      const kept = waitingShape.safeParse(value).data;
      const entry = keptEntry(kept?.entry);
      return kept && entry ? [{ ...kept, entry }] : [];
    });
  },
  put: (each: WaitingEntry) => putOnDevice('waiting', each.entry.id, { ...each, entry: asWritten(each.entry) }),
  drop: (id: EntryId) => dropFromDevice('waiting', id),
};
