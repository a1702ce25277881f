import { told } from '../../catalogue/index.ts';
import { type Head, PEOPLE } from '../../log-book/index.ts';
import { idRemedy, type Problem } from '../../site-map/index.ts';
import { type LogBook, openLogStore, PHOTO_QUOTA, StoreFault, sizeOfWords } from '../../store/index.ts';
import { InputError, UsageError } from './input.ts';
import { fileLine, problemLine, safe } from './print.ts';
import { say } from './voice.ts';
import { world } from './world.ts';

/** Where the log book is: the folder given, else that of the environment, else `oilshed-data` here; in PostgreSQL where DATABASE_URL is set. */
export function logPlace(data: string | undefined) {
  const { OILSHED_DATA, DATABASE_URL } = world().env;
  return { folder: data || OILSHED_DATA || 'oilshed-data', databaseUrl: DATABASE_URL || undefined };
}

/** What the photos of a site may take, in bytes: as the flag says, else the environment. */
export function photoQuotaWord(flag?: string): number {
  const { OILSHED_PHOTO_QUOTA } = world().env;
  const words = flag ?? OILSHED_PHOTO_QUOTA;
  const bytes = words ? sizeOfWords(words) : PHOTO_QUOTA;
  if (bytes !== undefined) return bytes;
  const name = flag === undefined ? 'OILSHED_PHOTO_QUOTA' : '--photo-quota';
  throw new UsageError(say('cli-errors.size', { name, word: JSON.stringify(words) }));
}

type Opening = Pick<Parameters<typeof openLogStore>[0], 'mustExist' | 'purpose'>;

/**
 * Opens the log book and closes it after the work. A StoreFault becomes one line that names the folder, but where
 * `onFault` has an answer to it.
 */
export async function withLogStore<T>(
  { data, onFault, ...opening }: Opening & { data?: string; onFault?: (fault: Problem) => T | undefined },
  work: (store: LogBook) => Promise<T>,
): Promise<T> {
  const place = logPlace(data);
  try {
    const store = await openLogStore({ ...place, ...opening });
    try {
      return await work(store);
    } finally {
      await store.close();
    }
  } catch (error) {
    if (!(error instanceof StoreFault)) throw error;
    const answer = onFault?.(error.problem);
    if (answer !== undefined) return answer;
    throw new InputError([problemLine(place.folder, error.problem)]);
  }
}

/** The end of the chain of a site: the one named, else the only one there is. */
export function siteHead(heads: readonly Head[], named: string | undefined, folder: string): Head {
  const site = named ?? (heads.length === 1 ? heads[0].site : undefined);
  if (site === undefined && heads.length > 1) {
    const sites = heads.map((head) => safe(head.site)).join(', ');
    throw new UsageError(say('cli-errors.sites', { count: heads.length, sites }));
  }
  const head = heads.find((each) => each.site === site);
  if (head) return head;
  const sites = heads.map((each) => each.site);
  const cure = idRemedy(site ?? '', sites, told('cli-errors.add-entry-first'));
  const words =
    site === undefined
      ? say('cli-errors.no-entry-at-all', { cure })
      : say('cli-errors.no-entry-of-site', { site, cure });
  throw new InputError([fileLine(folder, words)]);
}

/** The ends that a log book lacked when it was accepted as it stood, in a list. */
export const lostWords = (lost: readonly { chain: string; seq: number; hash: string }[]) => ({
  list: lost.map(({ chain, seq, hash }) =>
    told('cli.entry-of', { ofWhat: chain === PEOPLE ? 'people' : 'site', chain, seq: String(seq), hash }),
  ),
});
