import type { BodyOf, EntryKind } from './bodies.ts';
import type { EntryId, SiteId } from './ids.ts';

/** An entry of the log book: as its writer makes it, as acceptance seals it, and as what is kept is read. */

interface Common {
  id: EntryId;
  site: SiteId;
  at: string;
  by: string;
  photos?: string[];
}

/** An entry of one kind, or of one of several. Keys that are not listed are kept, at its top as in its body. */
export type EntryOf<K extends EntryKind> = { [P in K]: Common & { kind: P; body: BodyOf<P> } }[K];

/** An entry whose body fits its kind: all that is written is such. */
export type NewEntry = EntryOf<EntryKind>;

/**
 * An entry that a log book keeps though its body does not fit its kind: written when other bodies were allowed, or by a
 * later version. It is shown, hashed and exported as it was written (`asWritten`), and counts for nothing.
 */
export interface UnfitEntry extends Common {
  kind: 'unfit';
  /** What it was written with. */
  body: { kind: string; body: unknown };
}

/** An entry as a log book has it. */
export type Entry = NewEntry | UnfitEntry;

/** What acceptance knows of an entry: its place in its site's chain, and the clock. */
export interface Seal {
  /** 1, 2, 3 … per site. */
  seq: number;
  /** When it was accepted, ISO 8601. A clock may go wrong: order is by `seq`. */
  received: string;
  /** `hash` of the site's entry before; null for the first. */
  previous: string | null;
  /** The name under which its sender was signed in; null where nobody signs in, or it came from the machine itself. */
  account: string | null;
}

/** Entries that were accepted before accounts were sealed have none. */
export type SealedEntry = Entry & Omit<Seal, 'account'> & Partial<Pick<Seal, 'account'>> & { hash: string };

/** A sealed entry of one kind. */
export type SealedOf<K extends Entry['kind']> = Extract<SealedEntry, { kind: K }>;

/** Those of one kind, in their order. O(entries). */
export const ofKind = <E extends Entry, K extends E['kind']>(
  entries: readonly E[],
  kind: K,
): Extract<E, { kind: K }>[] => entries.filter((entry): entry is Extract<E, { kind: K }> => entry.kind === kind);

/** The id of the place that an entry speaks of; undefined where it names none, or several. */
export function subjectOf(entry: Entry): string | undefined {
  switch (entry.kind) {
    case 'visit':
    case 'finding':
    case 'action':
    case 'sample':
    case 'investigation':
    case 'assessment':
    case 'order':
      return entry.body.at;
    case 'spill':
      return entry.body.zone;
    case 'link-test':
      return entry.body.link;
    case 'corrective':
    case 'correction':
    case 'map':
    case 'round':
    case 'rain':
    case 'unfit':
      return undefined;
    default:
      return entry satisfies never;
  }
}

/** What its writer noted in an entry; undefined where nothing was. */
export const noteOf = (entry: Entry): string | undefined => (entry.kind === 'unfit' ? undefined : entry.body.note);
