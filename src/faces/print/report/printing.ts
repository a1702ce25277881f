import type { Voice } from '../../../catalogue/index.ts';
import type { Drainage } from '../../../drainage/index.ts';
import type { SealedEntry } from '../../../log-book/index.ts';
import { type Paper, shortened } from '../binder.ts';
import type { Book } from './book.ts';

/** What every report of a site is made with. */
export interface Printing {
  drainage: Drainage;
  book: Book;
  /** The language, the units and the money of the report. */
  voice: Voice;
  siteName: string;
  timeZone: string;
  /** When it is printed, ms since 1970. */
  nowMs: number;
  /** SHA-256 of the map's file. */
  mapHash: string;
  paper: Paper;
}

const MAP_VERSION_DIGITS = 12;
export const mapVersion = ({ mapHash }: Printing): string => mapHash.slice(0, MAP_VERSION_DIGITS);

/** Names as reports print them: of a place, its id where it has none; of an entry, "entry 12". */
export function namesFor({ drainage: { map }, book, voice }: Printing): (id: string) => string {
  const names = new Map<string, string>([...map.zones, ...map.structures].map(({ id, name }) => [id, name]));
  for (const { id, properties } of map.others) if (typeof properties.name === 'string') names.set(id, properties.name);
  for (const { id, seq } of book.entries) names.set(id, voice.say('report.entry', { seq: String(seq) }));
  return (id) => shortened(names.get(id) ?? id, 48);
}

/** The numbers of entries, as a message takes them. */
export const entryNumbers = (entries: readonly SealedEntry[]) => ({
  count: entries.length,
  entries: { list: entries.map(({ seq }) => String(seq)) },
});
