import * as z from 'zod';
import { told } from '../../../catalogue/index.ts';
import {
  asWritten,
  headsText,
  type KeptHeads,
  LARGEST_MAP,
  LARGEST_PHOTO,
  olderCopiesAccepted,
  photoType,
  readEntry,
  readHeads,
  type SealedEntry,
} from '../../../log-book/index.ts';
import { hasErrors, type Problem, parseJson, problem, readSiteMap } from '../../../site-map/index.ts';
import {
  backUp,
  entryOf,
  filesOfEntry,
  filesOfKind,
  type LogBook,
  type LogStore,
  missingFiles,
  openLogStore,
  photoQuota,
  StoreFault,
  sha256,
  type Verified,
  type Which,
} from '../../../store/index.ts';
import { entryWords, kindWord, writerWords } from '../../../words/index.ts';
import {
  fileReason,
  forPrograms,
  InputError,
  numberWord,
  output,
  outputAsKept,
  readBytes,
  readText,
  throwErrors,
  UsageError,
  writeOut,
} from '../input.ts';
import { readLogFile, TooLarge, writeLogFile } from '../log-file.ts';
import { logPlace, lostWords, photoQuotaWord, withLogStore } from '../log-place.ts';
import { noteProblems } from '../notes.ts';
import { bullets, fileLine, fileName, heading, left, problemLine, safe, sayProblems, table } from '../print.ts';
import { say, voice } from '../voice.ts';

interface LogFlags {
  data?: string;
  json?: boolean;
}

/** `oilshed log add ENTRY.json [--photo FILE…] [--map FILE]`: takes an entry into the log book, with its photos or its map. */
export async function add(file: string, flags: LogFlags & { photo?: string[]; map?: string }): Promise<number> {
  const { value, problems } = parseJson(readText(file));
  throwErrors(file, problems);
  const photos = (flags.photo ?? []).map(readPhoto);
  const map = flags.map === undefined ? undefined : readKeptMap(flags.map);
  const withFiles = withPhotos(map ? withMap(value, sha256(map), file) : value, photos.map(sha256));
  const { entry, problems: wrong } = readEntry(withFiles);
  throwErrors(file, wrong);
  if (!entry) return 1;
  const quotaBytes = photoQuotaWord();
  return withLogStore({ data: flags.data }, async (store) => {
    const sizes = new Map(photos.map((photo) => [sha256(photo), photo.length]));
    throwErrors(file, await photoQuota(store, quotaBytes).problemsOf(entry, sizes));
    for (const photo of photos) store.photos.save(photo);
    if (map) store.maps.save(map);
    const { accepted, problems: refused } = await store.add(entry);
    throwErrors(file, refused);
    if (!accepted) return 1;
    const { id, seq, hash, isNew } = accepted;
    output(flags.json, { id, seq, hash }, () =>
      [
        say(isNew ? 'cli.log-added' : 'cli.log-there-already', { seq: String(seq), site: safe(entry.site) }),
        say('cli.hash', { hash }),
      ].join('\n'),
    );
    return 0;
  });
}

function readPhoto(file: string): Uint8Array {
  const bytes = readAtMost(file, LARGEST_PHOTO);
  if (photoType(bytes)) return bytes;
  throw new InputError([fileLine(file, say('cli-errors.no-photo'))]);
}

/** The bytes of a map that can be computed. */
function readKeptMap(file: string): Uint8Array {
  const bytes = readAtMost(file, LARGEST_MAP);
  throwErrors(file, readSiteMap(new TextDecoder().decode(bytes)).problems);
  return bytes;
}

function readAtMost(file: string, most: number): Uint8Array {
  const bytes = readBytes(file);
  if (bytes.length <= most) return bytes;
  throw new InputError([fileLine(file, say('cli-errors.over-size', { megabytes: most / 2 ** 20 }))]);
}

const mapEntry = z.looseObject({
  kind: z.literal('map'),
  body: z.looseObject({ sha256: z.unknown().optional() }).optional(),
});

/** The entry with this map in its body; a UsageError where it is about something else, an InputError where it names another. */
function withMap(value: unknown, name: string, file: string): unknown {
  const entry = mapEntry.safeParse(value).data;
  if (!entry) throw new UsageError(say('cli-errors.map-of-other-kind', { file: fileName(file) }));
  const named = entry.body?.sha256 ?? name;
  if (named !== name) throw new InputError([fileLine(file, say('cli-errors.map-other'))]);
  return { ...entry, body: { ...entry.body, sha256: name } };
}

/** The entry with these photos after its own; anything else than an entry as it is. */
function withPhotos(value: unknown, names: readonly string[]): unknown {
  if (names.length === 0 || typeof value !== 'object' || value === null || Array.isArray(value)) return value;
  const photos = 'photos' in value ? (value.photos ?? []) : [];
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

const LISTED = [
  'cli.column-site',
  'cli.column-number',
  'cli.column-time',
  'cli.column-kind',
  'cli.column-by',
  'cli.column-what',
] as const;

/** `oilshed log list`: what stands in the log book. */
export async function list({ people, ...flags }: LogFlags & WhichFlags & { people?: boolean }): Promise<number> {
  if (people && flags.site !== undefined) throw new UsageError(say('cli-errors.people-or-site'));
  if (people) return (await import('./people-record.ts')).listPeopleRecord(flags);
  const which = whichOf(flags);
  return withLogStore({ data: flags.data, purpose: 'read' }, async (store) => {
    const problems = await lackingProblems(store, flags.data);
    const accepted = await acceptedIn(store);
    const entries: SealedEntry[] = [];
    for await (const page of store.pages(which)) entries.push(...page.map(entryOf));
    const said = flags.json ? forPrograms(problems) : problems;
    outputAsKept(flags.json, { entries: entries.map(asWritten), problems: said, accepted }, () => {
      const numbers = new Map<string, number>(entries.map(({ id, seq }) => [id, seq]));
      const nameOf = (id: string) => {
        const seq = numbers.get(id);
        return seq === undefined ? id : say('cli.log-entry-name', { seq: String(seq) });
      };
      const rows = entries.map((entry) => {
        const { site, seq, at, photos = [] } = entry;
        const said = entryWords(entry, nameOf, voice());
        const words = photos.length > 0 ? say('cli.log-with-photos', { words: said, photos: photos.length }) : said;
        return [site, String(seq), at, kindWord(entry, voice()), writerWords(entry, (name) => name, voice()), words];
      });
      const columns = LISTED.map(left);
      return [
        heading(say('cli.log-entries', { entries: entries.length })),
        ...(rows.length > 0 ? ['', table(columns, rows)] : []),
        ...acceptedLines(accepted),
      ].join('\n');
    });
    return 0;
  });
}

/** Warns where the book lacks entries that the heads kept beside it have, before something is listed or exported. */
async function lackingProblems(store: LogStore, data: string | undefined): Promise<Problem[]> {
  const problems = (await store.headProblems()).filter(({ severity }) => severity === 'error');
  sayProblems(logPlace(data).folder, problems);
  return problems;
}

/** `oilshed log verify`: is everything in the log book as it was accepted? Exit status 1 where it is not. */
export async function verify(flags: LogFlags & { head?: string; heads?: string }): Promise<number> {
  const { head } = flags;
  if (head !== undefined && !/^[0-9a-f]{64}$/.test(head)) {
    throw new UsageError(say('cli-errors.head', { word: JSON.stringify(head) }));
  }
  // A file that cannot be read is an answer too: it is not as it was.
  const onFault = (fault: Problem) =>
    fault.code === 'log-damaged'
      ? { ok: false, entries: 0, photos: 0, maps: 0, people: 0, problems: [fault], heads: [], accepted: [] }
      : undefined;
  const kept = flags.heads === undefined ? null : readHeadsFile(flags.heads);
  const found = await withLogStore<Found>({ data: flags.data, purpose: 'read', onFault }, (store) =>
    verified(store, head, kept),
  );
  return sayVerified(logPlace(flags.data).folder, found, flags.json);
}

function sayVerified(folder: string, found: Found, json?: boolean): number {
  const { ok, entries, photos, maps, people, problems, heads, accepted } = found;
  sayProblems(folder, problems);
  output(json, { ok, entries, photos, maps, people, problems, heads, accepted }, () =>
    [
      heading(say(ok ? 'cli.log-sound' : 'cli.log-not-sound', { entries, photos, maps, people })),
      ...headLines(heads),
      ...acceptedLines(accepted),
    ].join('\n'),
  );
  return ok ? 0 : 1;
}

type Found = Verified & { accepted: ReturnType<typeof olderCopiesAccepted> };

const acceptedIn = async ({ people }: LogBook) => olderCopiesAccepted(await people.record.texts());

const acceptedLines = (accepted: Found['accepted']) =>
  accepted.map(({ at, lost }) =>
    safe(
      lost.length > 0
        ? say('cli.log-accepted', { at, entries: lostWords(lost) })
        : say('cli.log-accepted-unread', { at }),
    ),
  );

/** What verify finds; and whether heads that were written down earlier are still in the chains. */
async function verified(store: LogBook, head: string | undefined, kept: KeptHeads | null): Promise<Found> {
  const found = await store.verify();
  const gone = kept === null ? [] : await store.lackedBy(kept);
  if (head !== undefined && found.ok && !(await hasHash(store, head))) {
    const message = told('cli-errors.no-such-hash', { hash: head });
    const cure = told('cli-errors.no-such-hash-cure');
    gone.push(problem('chain-broken', { id: null, field: 'hash' }, { message, cure }));
  }
  const accepted = await acceptedIn(store);
  return { ...found, ok: found.ok && gone.length === 0, problems: [...found.problems, ...gone], accepted };
}

/** The heads in a file that `oilshed log heads --out` wrote. */
function readHeadsFile(file: string): KeptHeads | null {
  const { kept = null, problems } = readHeads(readText(file), sha256);
  throwErrors(file, problems);
  return kept;
}

async function hasHash(store: LogStore, hash: string): Promise<boolean> {
  for await (const page of store.pages()) if (page.some((stored) => entryOf(stored).hash === hash)) return true;
  return false;
}

/** The end of each chain. Who keeps these can tell later whether anything before was changed. */
const headLines = (heads: Verified['heads']) =>
  heads.map(({ site, seq, hash }) => safe(say('cli.log-head', { site, seq: String(seq), hash: hash ?? '–' })));

/** `oilshed log export --out FILE`: the log book as a zip of entries, a table, the photos and the maps. */
export async function exportLog(flags: LogFlags & WhichFlags & { out: string }): Promise<number> {
  const which = whichOf(flags);
  return withLogStore({ data: flags.data, purpose: 'read' }, async (store) => {
    const lacking = await lackingProblems(store, flags.data);
    const { problems: leftOut, ...inside } = await writeLogFile(flags.out, store, which).catch((error) => {
      throw error instanceof StoreFault ? error : new InputError([fileLine(flags.out, exportReason(error))]);
    });
    sayProblems(flags.out, leftOut);
    const problems = [...lacking, ...leftOut];
    const { entries, photos, maps, people, heads } = inside;
    output(flags.json, { ...inside, problems }, () =>
      [heading(say('cli.log-exported', { file: flags.out, entries, photos, maps, people })), ...headLines(heads)].join(
        '\n',
      ),
    );
    return hasErrors(problems) ? 1 : 0;
  });
}

const exportReason = (error: unknown) =>
  error instanceof TooLarge ? say('cli-errors.export-too-large') : fileReason(error);

/** `oilshed log backup --out FOLDER`: a copy of the log book, taken while others may write, and verified as `verify` does. */
export async function backup(flags: LogFlags & { out: string }): Promise<number> {
  const { folder, databaseUrl } = logPlace(flags.data);
  if (databaseUrl !== undefined) throw new InputError([say('cli-errors.backup-postgres')]);
  return withLogStore({ data: flags.data, purpose: 'read' }, async ({ databaseFolder }) => {
    const found = await copied({ folder, databaseFolder, to: flags.out }).catch((error) => {
      throw error instanceof StoreFault ? new InputError([problemLine(flags.out, error.problem)]) : error;
    });
    return sayVerified(flags.out, found, flags.json);
  });
}

async function copied(place: Parameters<typeof backUp>[0]): Promise<Found> {
  const leftOut = await backUp(place);
  const copy = await openLogStore({ folder: place.to, purpose: 'read' });
  const found = await verified(copy, undefined, null).finally(() => copy.close());
  const problems = [...leftOut, ...found.problems];
  return { ...found, ok: !hasErrors(problems), problems };
}

/** `oilshed log import FILE`: takes over what an export has and the log book has not. Twice does no more than once. */
export async function importLog(file: string, flags: LogFlags): Promise<number> {
  const { entries, people, file: fileOf, problems } = readLogFile(readBytes(file));
  throwErrors(file, problems);
  return withLogStore({ data: flags.data }, async (store) => {
    const saved = { photo: new Set<string>(), map: new Set<string>() };
    for (const named of entries.flatMap(filesOfEntry)) {
      const kept = filesOfKind(store, named.kind);
      const bytes = kept.has(named.name) ? null : fileOf(named);
      if (bytes) saved[named.kind].add(kept.save(bytes));
    }
    const { accepted, problems: refused } = await store.takeOver(entries);
    throwErrors(file, refused);
    const { added = 0, present = 0 } = accepted ?? {};
    const [photos, maps] = [saved.photo.size, saved.map.size];
    // An export of before the record was kept says nothing about it.
    const record = people.length > 0 ? await store.people.record.takeOver(people) : null;
    const notes = [...problems, ...(record?.problems ?? []), ...entries.flatMap((entry) => missingFiles(entry, store))];
    noteProblems(file, notes);
    const events = record?.accepted?.added ?? 0;
    output(flags.json, { added, present, photos, maps, people: events, problems: notes }, () =>
      heading(say('cli.log-imported', { added, photos, maps, people: events, present })),
    );
    return 0;
  });
}

/**
 * `oilshed log heads [--accept] [--out FILE]`: the last entry of each site, to be kept elsewhere. With `--accept`
 * the book is accepted as it is, though its heads say that it had more.
 */
export async function heads(flags: LogFlags & { out?: string; accept?: boolean }): Promise<number> {
  const { folder, databaseUrl } = logPlace(flags.data);
  if (flags.accept && databaseUrl !== undefined) throw new InputError([say('cli-errors.accept-postgres')]);
  const purpose = flags.accept ? 'accept' : 'read';
  return withLogStore({ data: flags.data, mustExist: true, purpose }, async (store) => {
    const accepted = flags.accept ? await store.acceptHeads() : undefined;
    if (!flags.accept) await lackingProblems(store, flags.data);
    const heads = await store.heads();
    if (flags.out !== undefined) writeOut(flags.out, headsText(await store.keptHeads(), sha256));
    output(flags.json, { heads, ...(accepted && { accepted }) }, () =>
      [...(accepted ? [acceptedWords(accepted, folder)] : []), ...headLines(heads)].join('\n'),
    );
    return 0;
  });
}

const acceptedWords = (accepted: readonly Problem[], folder: string) =>
  accepted.length === 0
    ? say('cli.log-nothing-to-accept')
    : [heading(say('cli.log-goes-on', { folder })), bullets(accepted.map(({ message }) => voice().text(message)))].join(
        '\n',
      );
