import { stat } from 'node:fs/promises';
import { join } from 'node:path';
import { type Told, told } from '../catalogue/index.ts';
import type { Entry } from '../log-book/index.ts';
import { type Problem, problem } from '../site-map/index.ts';
import { entryOf, type LogStore } from './log-store.ts';

/** What photos of one site may take together, in bytes, where nobody says otherwise: some 7,000 as a phone sends them. */
export const PHOTO_QUOTA = 2 * 2 ** 30;

/** Room for one photo, taken before it is kept. */
interface Taken {
  /** Why there is no room for one that is not kept already; null where there is. */
  problem: Problem | null;
  /** To be told its name once it is kept; null where it was not. */
  done(name: string | null): void;
}

/** Holds the photos of each site, and those that no entry names yet, within so many bytes. */
export interface PhotoQuota {
  /** Takes room for a photo that comes in, of a site where that is known. */
  take(bytes: number, site?: string): Promise<Taken>;
  /** What is wrong with an entry whose photos, kept or of these sizes, are too much for its site. */
  problemsOf(entry: Entry, sizes?: ReadonlyMap<string, number>): Promise<Problem[]>;
}

/** Photos that no entry names yet, by name; those that are just coming in by an object of their own. */
type Waiting = Map<string | object, { bytes: number; site?: string }>;

interface OfSite {
  /** The last entry that was looked at. */
  seq: number;
  names: Set<string>;
  bytes: number;
}

/**
 * Counts from what is kept, so that it needs nothing of its own on the disk: entries that came since are looked at each
 * time, the first time all of them. A photo that entries of two sites name counts for both.
 */
export function photoQuota(log: Pick<LogStore, 'heads' | 'pages' | 'photos'>, most: number): PhotoQuota {
  const sites = new Map<string, OfSite>();
  let waiting: Waiting | null = null;
  const sizeOf = (name: string) =>
    stat(join(log.photos.folder, name)).then(
      ({ size }) => size,
      () => 0,
    );

  const look = async () => {
    for (const { site, seq } of await log.heads()) {
      const known = sites.get(site) ?? { seq: 0, names: new Set(), bytes: 0 };
      sites.set(site, known);
      if (known.seq >= seq) continue;
      for await (const page of log.pages({ site, after: known.seq })) {
        // Canonical text: an entry without this has no photos.
        for (const stored of page.filter(({ text }) => text.includes('"photos":["'))) {
          for (const name of entryOf(stored).photos ?? []) {
            if (!known.names.has(name)) known.bytes += await sizeOf(name);
            known.names.add(name);
            waiting?.delete(name);
          }
        }
        known.seq = page[page.length - 1].seq;
      }
    }
    waiting ??= await unnamed();
    return waiting;
  };
  const unnamed = async () => {
    const named = [...sites.values()].map(({ names }) => names);
    const found: Waiting = new Map();
    for (const name of log.photos.names().filter((each) => !named.some((names) => names.has(each))))
      found.set(name, { bytes: await sizeOf(name) });
    return found;
  };
  // One look at a time: two would count the same entries twice.
  let last: Promise<unknown> = Promise.resolve();
  const inTurn = <T>(work: (waiting: Waiting) => T): Promise<T> => {
    const turn = last.then(look).then(work);
    last = turn.catch(() => {});
    return turn;
  };
  const bytesOf = (site: string) => sites.get(site)?.bytes ?? 0;
  const sum = (all: readonly { bytes: number }[]) => all.reduce((total, { bytes }) => total + bytes, 0);

  const problemOf = (
    all: readonly { bytes: number; site?: string }[],
    bytes: number,
    site?: string,
  ): Problem | null => {
    const ofSite = site === undefined ? 0 : bytesOf(site) + sum(all.filter((each) => each.site === site));
    if (ofSite + bytes > most && site !== undefined) return tooMuch(null, most, site);
    return sum(all) + bytes > most ? tooMuch(null, most) : null;
  };

  return {
    take: (bytes, site) =>
      inTurn((waiting) => {
        const problem = problemOf([...waiting.values()], bytes, site);
        const mark = {};
        if (!problem) waiting.set(mark, { bytes, site });
        const done = (name: string | null) => {
          waiting.delete(mark);
          const isNamed = [...sites.values()].some(({ names }) => name !== null && names.has(name));
          if (name !== null && !isNamed) waiting.set(name, { bytes, site });
        };
        return { problem, done };
      }),
    async problemsOf({ id, site, photos = [] }, sizes) {
      if (photos.length === 0) return [];
      const own = await inTurn(() => sites.get(site)?.names ?? new Set());
      const fresh = [...new Set(photos)].filter((name) => !own.has(name));
      const bytes = await Promise.all(fresh.map((name) => sizes?.get(name) ?? sizeOf(name)));
      const total = bytes.reduce((all, each) => all + each, bytesOf(site));
      return fresh.length > 0 && total > most ? [tooMuch(id, most, site)] : [];
    },
  };
}

/** Photos of a site, or those that no entry names yet, are too many bytes. */
function tooMuch(id: string | null, most: number, site?: string): Problem {
  const allowed = inBytes(most);
  const message =
    site === undefined
      ? told('store.photos-unnamed-full', { allowed })
      : told('store.photos-of-site-full', { site, allowed });
  return problem('photo-quota', { id, field: 'photos' }, { message, allowed, cure: told('store.photos-full-remedy') });
}

const UNITS = ['kB', 'MB', 'GB', 'TB'];

/** To three digits, without noughts that say nothing: "2 GB", "1.5 GB". */
function inBytes(bytes: number): Told {
  const power = Math.min(UNITS.length, Math.max(1, Math.floor(Math.log2(Math.max(1, bytes)) / 10)));
  const amount = Number((bytes / 1024 ** power).toPrecision(3));
  const [, decimals = ''] = String(amount).split('.');
  return told('store.size', { amount: { number: amount, digits: decimals.length }, unit: UNITS[power - 1] });
}

/** Bytes of a size in words, such as "500MB" or "1.5 GB" (of 1,024); undefined where it is none. */
export function sizeOfWords(words: string): number | undefined {
  const [, number, unit] = /^(\d+(?:\.\d+)?)\s*(kB|MB|GB|TB)$/i.exec(words.trim()) ?? [];
  const power = UNITS.findIndex((each) => each.toLowerCase() === unit?.toLowerCase()) + 1;
  return unit === undefined ? undefined : Math.round(Number(number) * 1024 ** power);
}
