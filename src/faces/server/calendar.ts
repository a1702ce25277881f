import type { Language } from '../../catalogue/index.ts';
import type { StoredEntry } from '../../log-book/index.ts';
import { entryOf, type LogBook } from '../../store/index.ts';
import type { MadeCalendar } from './reader-jobs.ts';
import type { WorkerPool } from './worker-pool.ts';

type Book = Pick<LogBook, 'heads' | 'pages' | 'maps'>;

/**
 * Gives a site's calendar, with the map that its last `map` entry names where that is kept here; in a language, or where none
 * is asked for in the site's.
 * O(entries of the site) when something has come, else one look at the heads.
 */
export function calendars(log: Book, pool: WorkerPool): (site: string, language?: Language) => Promise<string> {
  const cached = new Map<string, MadeCalendar>();
  return async (site, language) => {
    const head = (await log.heads()).find((each) => each.site === site);
    const key = JSON.stringify([site, language]);
    const before = cached.get(key);
    if (before && before.hash === head?.hash && before.isMapKept === log.maps.has(before.mapName)) return before.text;
    const entries: StoredEntry[] = [];
    for await (const page of log.pages({ site })) entries.push(...page);
    const texts = entries.map(({ text }) => text);
    const made = await pool.run('calendar', { site, texts, mapsFolder: log.maps.folder, language });
    if (made === null) throw unreadable(entries);
    // Only sites that exist, so that made-up names do not fill the memory.
    if (made.hash !== null) cached.set(key, made);
    return made.text;
  };
}

/** The fault of the first entry that cannot be read. */
function unreadable(entries: readonly StoredEntry[]): unknown {
  try {
    for (const each of entries) entryOf(each);
  } catch (fault) {
    return fault;
  }
  return new Error('the calendar could not read entries that can be read');
}
