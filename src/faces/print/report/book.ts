import {
  chainCheck,
  type EntryId,
  type Head,
  ofKind,
  type SealedEntry,
  type SealedOf,
  type SiteId,
} from '../../../log-book/index.ts';
import type { Problem } from '../../../site-map/index.ts';
import { entryOf, type LogStore, sha256 } from '../../../store/index.ts';

/** All that the log book has of one site, and whether it is as it was accepted. */
export interface Book {
  site: SiteId;
  /** In the order of the chain. */
  entries: SealedEntry[];
  /** The end of the chain. */
  head: Head;
  /** The entries that correct an entry, by its id. */
  corrections: ReadonlyMap<EntryId, readonly SealedOf<'correction'>[]>;
  /** What was changed since it was accepted. */
  problems: Problem[];
}

/**
 * Reads one site's entries and looks through its chain on the way. O(text). Throws a StoreFault where one cannot be read.
 */
export async function readBook(store: LogStore, head: Head): Promise<Book> {
  const check = chainCheck(sha256);
  const entries: SealedEntry[] = [];
  // Up to the head that the report names: what others write meanwhile is not in it.
  for await (const page of store.pages({ site: head.site, before: head.seq + 1 })) {
    for (const stored of page) {
      check.look(stored);
      entries.push(entryOf(stored));
    }
  }
  const { problems } = check.end([head]);
  return { site: head.site, entries, head, corrections: correctionsOf(entries), problems };
}

export function correctionsOf(entries: readonly SealedEntry[]): Book['corrections'] {
  const corrections = new Map<EntryId, SealedOf<'correction'>[]>();
  for (const entry of ofKind(entries, 'correction')) {
    const { corrects } = entry.body;
    corrections.set(corrects, [...(corrections.get(corrects) ?? []), entry]);
  }
  return corrections;
}
