import { LARGEST_PHOTO, photoType, readEntry, type SealedEntry } from '../../../log-book/index.ts';
import { type Problem, parseJson, problem } from '../../../site-map/index.ts';
import {
  backUp,
  entryOf,
  type LogStore,
  openLogStore,
  StoreFault,
  sha256,
  type Verified,
  type Which,
} from '../../store/index.ts';
import { entryWords } from '../../words/visit.ts';
import { writerWords } from '../../words/writer.ts';
import {
  fileReason,
  InputError,
  numberWord,
  output,
  outputAsKept,
  readBytes,
  readText,
  throwErrors,
  WordsError,
} from '../input.ts';
import { readLogFile, TooLarge, writeLogFile } from '../log-file.ts';
import { logPlace, withLogStore } from '../log-place.ts';
import { fileName, heading, problemLine, safe, sayProblems, table } from '../print.ts';

interface LogFlags {
  data?: string;
  json?: boolean;
}

/** `oilshed log add ENTRY.json [--photo FILE…]`: takes an entry into the log book, with its photos. */
export async function add(file: string, flags: LogFlags & { photo?: string[] }): Promise<number> {
  const { value, problems } = parseJson(readText(file));
  throwErrors(file, problems);
  const photos = (flags.photo ?? []).map(readPhoto);
  const { entry, problems: wrong } = readEntry(withPhotos(value, photos.map(sha256)));
  throwErrors(file, wrong);
  if (!entry) return 1;
  return withLogStore({ data: flags.data, mustExist: false }, async (store) => {
    for (const photo of photos) store.photos.save(photo);
    const { accepted, problems: refused } = await store.add(entry);
    throwErrors(file, refused);
    if (!accepted) return 1;
    const { id, seq, hash, isNew } = accepted;
    output(flags.json, { id, seq, hash }, () =>
      [
        isNew
          ? `Entry ${seq} of ${safe(entry.site)} is in the log book.`
          : `It was in the log book already, as entry ${seq} of ${safe(entry.site)}.`,
        `Hash ${hash}`,
      ].join('\n'),
    );
    return 0;
  });
}

function readPhoto(file: string): Uint8Array {
  const bytes = readBytes(file);
  if (bytes.length > LARGEST_PHOTO)
    throw new InputError([`${fileName(file)}: it is over ${LARGEST_PHOTO / 2 ** 20} MB; make it smaller`]);
  if (photoType(bytes)) return bytes;
  throw new InputError([`${fileName(file)}: it is no photo; name a JPEG, PNG, WebP or HEIC`]);
}

/** The entry with these photos after its own; anything else than an entry as it is. */
function withPhotos(value: unknown, names: readonly string[]): unknown {
  if (names.length === 0 || typeof value !== 'object' || value === null || Array.isArray(value)) return value;
  const { photos = [] } = value as { photos?: unknown };
  return Array.isArray(photos) ? { ...value, photos: [...new Set([...photos, ...names])] } : value;
}

interface WhichFlags {
  site?: string;
  after?: string;
  limit?: string;
}

const whichOf = ({ site, after, limit }: WhichFlags): Which => ({
  site,
  after: after === undefined ? undefined : numberWord('--after', after, { atLeast: 0 }),
  limit: limit === undefined ? undefined : numberWord('--limit', limit, { atLeast: 0 }),
});

/** `oilshed log list`: what stands in the log book. */
export async function list({ people, ...flags }: LogFlags & WhichFlags & { people?: boolean }): Promise<number> {
  if (people && flags.site !== undefined)
    throw new WordsError('write either --people or --site: the record of people is of the whole log book');
  if (people) return (await import('./people-record.ts')).listPeopleRecord(flags);
  const which = whichOf(flags);
  return withLogStore({ data: flags.data, mustExist: true }, async (store) => {
    const entries: SealedEntry[] = [];
    for await (const page of store.pages(which)) entries.push(...page.map(entryOf));
    outputAsKept(flags.json, { entries }, () => {
      const numbers = new Map(entries.map(({ id, seq }) => [id, seq]));
      const nameOf = (id: string) => (numbers.has(id) ? `entry ${numbers.get(id)}` : id);
      const rows = entries.map((entry) => {
        const { site, seq, at, kind, photos = [] } = entry;
        const words = entryWords(entry, nameOf, 'si') + (photos.length > 0 ? ` (photos: ${photos.length})` : '');
        return [site, String(seq), at, kind, writerWords(entry), words];
      });
      const columns = ['SITE', 'NO', 'AT', 'KIND', 'BY', 'WHAT'].map((title) => ({ title }));
      return [
        heading(`${entries.length} ${entries.length === 1 ? 'entry' : 'entries'}.`),
        ...(rows.length > 0 ? ['', table(columns, rows)] : []),
      ].join('\n');
    });
    return 0;
  });
}

/** `oilshed log verify`: is everything in the log book as it was accepted? Exit status 1 where it is not. */
export async function verify(flags: LogFlags & { head?: string }): Promise<number> {
  const { head } = flags;
  if (head !== undefined && !/^[0-9a-f]{64}$/.test(head)) {
    throw new WordsError(
      `--head is ${JSON.stringify(head)}; write the 64 digits of a hash, as a report or an export has it`,
    );
  }
  // A file that cannot be read is an answer too: it is not as it was.
  const onFault = (fault: Problem) =>
    fault.code === 'log-damaged'
      ? { ok: false, entries: 0, photos: 0, people: 0, problems: [fault], heads: [] }
      : undefined;
  const found = await withLogStore<Verified>({ data: flags.data, mustExist: true, onFault }, (store) =>
    verified(store, flags.head),
  );
  return sayVerified(logPlace(flags.data).folder, found, flags.json);
}

function sayVerified(
  folder: string,
  { ok, entries, photos, people, problems, heads }: Verified,
  json?: boolean,
): number {
  sayProblems(folder, problems);
  output(json, { ok, entries, photos, people, problems, heads }, () =>
    [
      heading(
        `${entries} entries, ${photos} photos, ${people} events of people: ${ok ? 'all as they were accepted.' : 'NOT as they were accepted.'}`,
      ),
      ...headLines(heads),
    ].join('\n'),
  );
  return ok ? 0 : 1;
}

/** What verify finds; and where that is nothing, whether a head hash printed earlier is still in the chain. */
async function verified(store: LogStore, head: string | undefined): Promise<Verified> {
  const found = await store.verify();
  if (head === undefined || !found.ok || (await hasHash(store, head))) return found;
  const message = `no entry has the hash ${head}`;
  const cure = 'compare the number; if it is right, the book was rewritten';
  const gone = problem('chain-broken', { id: null, field: 'hash' }, { message, cure });
  return { ...found, ok: false, problems: [...found.problems, gone] };
}

async function hasHash(store: LogStore, hash: string): Promise<boolean> {
  for await (const page of store.pages()) if (page.some((stored) => entryOf(stored).hash === hash)) return true;
  return false;
}

/** The end of each chain. Who keeps these can tell later whether anything before was changed. */
const headLines = (heads: Verified['heads']) =>
  heads.map(({ site, seq, hash }) => `${safe(site)}: entry ${seq}, hash ${hash}`);

/** `oilshed log export --out FILE`: the log book as a zip of entries, a table and the photos. */
export async function exportLog(flags: LogFlags & WhichFlags & { out: string }): Promise<number> {
  const which = whichOf(flags);
  return withLogStore({ data: flags.data, mustExist: true }, async (store) => {
    const heads = (await store.heads()).filter(({ site }) => flags.site === undefined || site === flags.site);
    const { entries, photos, problems } = await writeLogFile(flags.out, store, which).catch((error) => {
      throw new InputError([`${safe(flags.out)}: ${exportReason(error)}`]);
    });
    sayProblems(flags.out, problems);
    output(flags.json, { entries, photos, heads, problems }, () =>
      [heading(`${flags.out}: ${entries} entries, ${photos} photos.`), ...headLines(heads)].join('\n'),
    );
    return problems.length > 0 ? 1 : 0;
  });
}

const exportReason = (error: unknown) =>
  error instanceof TooLarge
    ? 'it would be over 2 GB; export parts, with --site, --after and --limit, and import them in that order'
    : fileReason(error);

/** `oilshed log backup --out FOLDER`: a copy of the log book, taken while others may write, and verified as `verify` does. */
export async function backup(flags: LogFlags & { out: string }): Promise<number> {
  const { folder, databaseUrl } = logPlace(flags.data);
  if (databaseUrl !== undefined)
    throw new InputError([
      'DATABASE_URL: the log book is in PostgreSQL; back its entries up with pg_dump, or all of it with oilshed log export',
    ]);
  return withLogStore({ data: flags.data, mustExist: true }, async () => {
    const found = await copied(folder, flags.out).catch((error) => {
      throw error instanceof StoreFault ? new InputError([problemLine(flags.out, error.problem)]) : error;
    });
    return sayVerified(flags.out, found, flags.json);
  });
}

async function copied(folder: string, to: string): Promise<Verified> {
  const leftOut = await backUp(folder, to);
  const copy = await openLogStore({ folder: to, mustExist: true });
  const found = await copy.verify().finally(() => copy.close());
  const problems = [...leftOut, ...found.problems];
  return { ...found, ok: problems.length === 0, problems };
}

/** `oilshed log import FILE`: takes over what an export has and the log book has not. Twice does no more than once. */
export async function importLog(file: string, flags: LogFlags): Promise<number> {
  const { entries, photo, problems } = readExport(file);
  throwErrors(file, problems);
  return withLogStore({ data: flags.data, mustExist: false }, async (store) => {
    let photos = 0;
    for (const name of new Set(entries.flatMap((entry) => entry.photos ?? []))) {
      const bytes = store.photos.has(name) ? null : photo(name);
      if (!bytes) continue;
      store.photos.save(bytes);
      photos++;
    }
    const { accepted, problems: refused } = await store.takeOver(entries);
    throwErrors(file, refused);
    const { added = 0, present = 0 } = accepted ?? {};
    output(flags.json, { added, present, photos }, () =>
      heading(`${added} entries and ${photos} photos were added; ${present} entries were there already.`),
    );
    return 0;
  });
}

function readExport(file: string) {
  try {
    return readLogFile(file);
  } catch (error) {
    throw new InputError([`${safe(file)}: ${fileReason(error)}`]);
  }
}
