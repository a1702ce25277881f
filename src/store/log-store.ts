import { setTimeout as sleep } from 'node:timers/promises';
import { type Kysely, sql } from 'kysely';
import { type Told, told } from '../catalogue/index.ts';
import {
  chainCheck,
  correctedBy,
  type Entry,
  type EntryId,
  entryText,
  type Head,
  isSameContent,
  type KeptHeads,
  keptSealedEntry,
  type NewEntry,
  type Seal,
  type SealedEntry,
  type SiteId,
  type StoredEntry,
  sealEntry,
} from '../log-book/index.ts';
import { hasErrors, type Problem, problem } from '../site-map/index.ts';
import { StoreFault } from './fault.ts';
import { type HeadsBeside, headsOf, keptHeadsOf, lackedBesides, lackedBy } from './heads.ts';
import { type FileOfEntry, filesOfEntry, type KeptFiles, missingFiles, soundFile } from './kept-files.ts';
import { verifyPeople } from './people-record.ts';
import { sha256 } from './photos.ts';
import type { Database, Tables } from './tables.ts';
import { type Answer, inTransaction, retryWhileBusy } from './transaction.ts';

/** What an entry got on acceptance; `isNew` is false where the same entry had been accepted before. */
export interface Accepted {
  id: EntryId;
  seq: number;
  hash: string;
  isNew: boolean;
}

export interface Which {
  site?: string;
  /** Only entries with a higher seq. */
  after?: number;
  /** Only entries with a lower seq. */
  before?: number;
  limit?: number;
  /** Each site's last entry first. Either way a page costs O(its length), whatever the length of the book. */
  isNewestFirst?: boolean;
}

export interface Verified {
  ok: boolean;
  entries: number;
  /** How many different photos, and maps, the entries name. */
  photos: number;
  maps: number;
  /** How many events the record of people has. */
  people: number;
  problems: Problem[];
  heads: Head[];
}

/** The log book on its disk or in its database. Every method may throw a StoreFault. */
export interface LogStore extends KeptFiles {
  /**
   * Accepts an entry that `readEntry` found sound, from who is signed in; `account` is null where nobody has to be, or at
   * the machine itself. Once this has come back, the entry lasts.
   */
  add(entry: NewEntry, account?: string | null): Promise<Answer<Accepted>>;
  /** Takes over sealed entries of another copy of this book, all or none; those that are here already are passed over. */
  takeOver(entries: readonly SealedEntry[]): Promise<Answer<{ added: number; present: number }>>;
  /** Texts of entries by site and seq, a page at a time, as the book stands at the start. An entry that is gone is a StoreFault. */
  pages(which?: Which): AsyncGenerator<StoredEntry[]>;
  /** The entry with an id; null where there is none. */
  entry(id: EntryId): Promise<StoredEntry | null>;
  heads(): Promise<Head[]>;
  /** The same with the end of the record of people, to be kept elsewhere. */
  keptHeads(): Promise<KeptHeads>;
  /** What the book lacks of heads that were kept elsewhere: entries that are gone, or others in their place. */
  lackedBy(kept: KeptHeads): Promise<Problem[]>;
  /** The same of the heads beside the book, and what is wrong with them. Empty in PostgreSQL, which has none. */
  headProblems(): Promise<Problem[]>;
  /** Asks the database for something small, without patience. Throws a StoreFault where it does not answer within seconds. */
  ping(): Promise<void>;
  verify(): Promise<Verified>;
  close(): Promise<void>;
}

interface Options {
  files: KeptFiles;
  /** Null where none stand beside the book. */
  heads: HeadsBeside | null;
  /** The clock, ISO 8601. */
  now: () => string;
  /** How long to wait for others that hold the book. */
  patienceMs: number;
}

const PAGE = 500;

const COMPARE = told('store.compare-export');

const isError = ({ severity }: Problem) => severity === 'error';

const besideProblems = async (tx: Kysely<Tables>, { kept, problems }: ReturnType<HeadsBeside['read']>) => [
  ...problems,
  ...(await lackedBesides(tx, kept)).map(({ problem }) => problem),
];

export function logStore(database: Database, { files, heads, now, patienceMs }: Options): LogStore {
  const { db } = database;
  const write = <T>(work: (tx: Kysely<Tables>) => Promise<T>) =>
    retryWhileBusy(database, patienceMs, () => inTransaction(db, database.begin.write, work));
  const look = <T>(work: () => Promise<T>) => retryWhileBusy(database, patienceMs, work);
  const readHeads = () => look(() => headsOf(db));
  const read = <T>(work: (tx: Kysely<Tables>) => Promise<T>) =>
    look(() => inTransaction(db, database.begin.read, work));

  /** However many ask, the database is asked once at a time. */
  let pinged: Promise<void> | undefined;

  async function* pages({
    site,
    after = 0,
    before = Number.POSITIVE_INFINITY,
    limit = Number.POSITIVE_INFINITY,
    isNewestFirst = false,
  }: Which = {}): AsyncGenerator<StoredEntry[]> {
    const heads = (await readHeads()).filter((head) => site === undefined || head.site === site);
    let left = Math.floor(limit);
    for (const head of heads) {
      let [from, to] = [Math.floor(after) + 1, Math.min(Math.ceil(before) - 1, head.seq)];
      while (left > 0 && from <= to) {
        const count = Math.min(PAGE, left, to - from + 1);
        const [first, last] = isNewestFirst ? [to - count + 1, to] : [from, from + count - 1];
        const page = await look(() => entriesFrom(db, head.site, { first, last, isNewestFirst }));
        if (page.length < count) {
          const message = { site: head.site, first: String(first), last: String(last) };
          throw damaged(told('store.entries-missing', message));
        }
        yield page;
        left -= count;
        if (isNewestFirst) to -= count;
        else from += count;
      }
    }
  }

  return {
    ...files,
    pages,
    entry: async (id) => (await look(() => entryWithId(db, id))) ?? null,
    heads: readHeads,
    ping: () => {
      pinged ??= ping(database).finally(() => {
        pinged = undefined;
      });
      return pinged;
    },
    async add(entry, account = null) {
      const missing = missingFiles(entry, files, 'new');
      if (missing.length > 0) return { accepted: null, problems: missing };
      const answer = await write((tx) => addIn(tx, database, entry, { received: now(), account }));
      if (answer.accepted?.isNew) await heads?.changed();
      return answer;
    },
    async takeOver(entries) {
      const missing = entries.flatMap((entry) => missingFiles(entry, files)).filter(isError);
      if (missing.length > 0) return { accepted: null, problems: missing };
      const answer = await write((tx) => takeOverIn(tx, database, entries));
      if (answer.accepted?.added) await heads?.changed();
      return answer;
    },
    lackedBy: async (kept) => (await read((tx) => lackedBy(tx, kept, COMPARE))).map(({ problem }) => problem),
    keptHeads: () => read(keptHeadsOf),
    async headProblems() {
      // Read before the book is: in between it may go on.
      const beside = heads?.read();
      return beside ? read((tx) => besideProblems(tx, beside)) : [];
    },
    async verify() {
      const beside = heads?.read();
      return read(async (tx) => {
        const found = await verifyIn(tx, database, files);
        const problems = beside ? [...(await besideProblems(tx, beside)), ...found.problems] : found.problems;
        return { ...found, ok: !hasErrors(problems), problems };
      });
    },
    async close() {
      await heads?.close();
      await db.destroy();
    },
  };
}

/** The end of a site's chain, held against other writers until the transaction ends; made where the site is new. */
async function holdHead(tx: Kysely<Tables>, { kind }: Database, site: SiteId): Promise<Head> {
  await tx
    .insertInto('heads')
    .values({ site, seq: 0, hash: null })
    .onConflict((conflict) => conflict.column('site').doNothing())
    .execute();
  return tx
    .selectFrom('heads')
    .selectAll()
    .where('site', '=', site)
    .$if(kind === 'postgres', (query) => query.forUpdate())
    .executeTakeFirstOrThrow();
}

/** Rows of one statement; the databases take some ten thousand values in one. */
const ROWS = 500;

/** Appends entries that follow their site's head, in their order. A head moves on by one at a time. */
async function append(tx: Kysely<Tables>, entries: readonly SealedEntry[]): Promise<void> {
  for (let at = 0; at < entries.length; at += ROWS) {
    const rows = entries.slice(at, at + ROWS);
    const values = rows.map((sealed) => {
      const { id, site, seq } = sealed;
      return { id, site, seq, entry: entryText(sealed) };
    });
    await tx.insertInto('entries').values(values).execute();
    for (const { site, seq, hash } of rows)
      await tx.updateTable('heads').set({ seq, hash }).where('site', '=', site).execute();
  }
}

const LONGEST_PING_MS = 3000;

async function ping({ db, fileFault, faultOf }: Database): Promise<void> {
  const wrong = fileFault();
  if (wrong !== null) throw damaged(wrong);
  const late = sleep(LONGEST_PING_MS, undefined, { ref: false }).then(() => {
    throw new StoreFault('log-busy', told('store.no-answer'), told('store.no-answer-remedy'));
  });
  try {
    await Promise.race([db.selectFrom('heads').select('site').limit(1).execute(), late]);
  } catch (error) {
    const fault = faultOf(error);
    throw fault instanceof StoreFault ? fault : damaged(told('store.tables-unreadable'), error);
  }
}

const storedEntries = (db: Kysely<Tables>) => db.selectFrom('entries').select(['id', 'site', 'seq', 'entry as text']);

const entryWithId = (tx: Kysely<Tables>, id: EntryId): Promise<StoredEntry | undefined> =>
  storedEntries(tx).where('id', '=', id).executeTakeFirst();

async function addIn(
  tx: Kysely<Tables>,
  database: Database,
  entry: NewEntry,
  from: Pick<Seal, 'received' | 'account'>,
): Promise<Answer<Accepted>> {
  const before = await entryWithId(tx, entry.id);
  if (before) return sentAgain(entry, entryOf(before));
  const corrects = await uncorrected(tx, entry);
  if (corrects !== null) return refuse(nothingToCorrect(entry, corrects));
  const head = await holdHead(tx, database, entry.site);
  const sealed = sealEntry(entry, { ...from, seq: head.seq + 1, previous: head.hash }, sha256);
  await append(tx, [sealed]);
  return { accepted: { id: sealed.id, seq: sealed.seq, hash: sealed.hash, isNew: true }, problems: [] };
}

function sentAgain(entry: NewEntry, sealed: SealedEntry): Answer<Accepted> {
  const { id, seq, hash } = sealed;
  if (isSameContent(entry, sealed)) return { accepted: { id, seq, hash, isNew: false }, problems: [] };
  const words = { message: told('store.other-entry'), cure: told('store.other-entry-remedy') };
  return refuse(problem('entry-conflict', { id, field: 'id' }, words));
}

const refuse = (...problems: Problem[]) => ({ accepted: null, problems });

/** The id that an entry says it corrects where its site has no such entry, in the book or before it in a list; else null. */
async function uncorrected(
  tx: Kysely<Tables>,
  entry: Entry,
  before?: ReadonlyMap<EntryId, Entry>,
): Promise<EntryId | null> {
  const corrects = correctedBy(entry);
  if (corrects === null) return null;
  const corrected = before?.get(corrects) ?? (await entryWithId(tx, corrects));
  return corrected?.site === entry.site ? null : corrects;
}

const nothingToCorrect = ({ id, site }: Entry, corrects: EntryId) =>
  problem(
    'unknown-id',
    { id, field: 'body.corrects' },
    {
      message: told('store.no-entry', { site, id: corrects }),
      found: corrects,
      allowed: told('store.no-entry-allowed'),
      cure: told('store.no-entry-remedy'),
    },
  );

/** The texts of those of some entries whose ids are in the book. */
async function textsById(tx: Kysely<Tables>, entries: readonly Entry[]): Promise<Map<EntryId, string>> {
  const ids = entries.map(({ id }) => id);
  const rows = await tx.selectFrom('entries').select(['id', 'entry']).where('id', 'in', ids).execute();
  return new Map(rows.map(({ id, entry }) => [id, entry]));
}

async function takeOverIn(
  tx: Kysely<Tables>,
  database: Database,
  entries: readonly SealedEntry[],
): Promise<Answer<{ added: number; present: number }>> {
  const ends = new Map<SiteId, Pick<Head, 'seq' | 'hash'>>();
  const fresh = new Map<EntryId, SealedEntry>();
  for (let at = 0; at < entries.length; at += ROWS) {
    const rows = entries.slice(at, at + ROWS);
    const present = await textsById(tx, rows);
    for (const entry of rows) {
      const before = present.get(entry.id);
      if (before === entryText(entry)) continue;
      const end = ends.get(entry.site) ?? (await holdHead(tx, database, entry.site));
      const isKnown = before !== undefined || fresh.has(entry.id);
      if (isKnown || entry.seq !== end.seq + 1 || entry.previous !== end.hash) return refuse(otherWay(entry));
      const corrects = await uncorrected(tx, entry, fresh);
      if (corrects !== null) return refuse(nothingToCorrect(entry, corrects));
      ends.set(entry.site, entry);
      fresh.set(entry.id, entry);
    }
  }
  await append(tx, [...fresh.values()]);
  return { accepted: { added: fresh.size, present: entries.length - fresh.size }, problems: [] };
}

const otherWay = ({ id, site, seq }: SealedEntry) =>
  problem(
    'entry-conflict',
    { id, field: 'seq' },
    {
      message: told('store.other-way', { seq: String(seq), site }),
      cure: told('store.other-way-remedy'),
    },
  );

const entriesFrom = (
  db: Kysely<Tables>,
  site: SiteId,
  { first, last, isNewestFirst }: { first: number; last: number; isNewestFirst: boolean },
): Promise<StoredEntry[]> =>
  storedEntries(db)
    .where('site', '=', site)
    .where('seq', '>=', first)
    .where('seq', '<=', last)
    .orderBy('seq', isNewestFirst ? 'desc' : 'asc')
    .execute();

const damaged = (message: Told, cause?: unknown) =>
  new StoreFault('log-damaged', message, told('store.damaged-remedy'), cause);

/** The entry that a text of the book holds. Throws a StoreFault where it cannot be read any more. */
export function entryOf({ site, seq, text }: StoredEntry): SealedEntry {
  const unreadable = (cause?: unknown) => damaged(told('log-book.entry-unreadable', { seq: String(seq), site }), cause);
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch (error) {
    throw unreadable(error);
  }
  const entry = keptSealedEntry(value);
  if (!entry) throw unreadable();
  return entry;
}

/** Every row there is, whatever the heads say. */
async function* everyRow(tx: Kysely<Tables>): AsyncGenerator<StoredEntry> {
  let last: StoredEntry | undefined;
  for (;;) {
    const { site, seq } = last ?? { site: '', seq: 0 };
    const page = await storedEntries(tx)
      // Compared as a pair, so that the index finds the place; with "or" every page would read the book from its start.
      .where(sql<boolean>`(site, seq) > (${site}, ${seq})`)
      .orderBy('site')
      .orderBy('seq')
      .limit(PAGE)
      .execute();
    yield* page;
    last = page.at(-1);
    if (!last) return;
  }
}

async function verifyIn(tx: Kysely<Tables>, database: Database, kept: KeptFiles): Promise<Omit<Verified, 'ok'>> {
  const problems = (await database.ownProblems()).map((words): Problem => {
    const said = { message: told('store.sqlite-damaged', { words }), cure: told('store.import-anew') };
    return problem('log-damaged', { id: null, field: null }, said);
  });
  const check = chainCheck(sha256);
  const named = new Map<string, FileOfEntry>();
  for await (const stored of everyRow(tx)) {
    check.look(stored);
    for (const file of filesIn(stored)) {
      const key = `${file.kind} ${file.name}`;
      const before = named.get(key);
      if (!before || (before.isOld && !file.isOld)) named.set(key, file);
    }
  }
  const heads = await headsOf(tx);
  const chain = check.end(heads);
  const people = await verifyPeople(tx);
  const files = [...named.values()];
  const lost = files.flatMap((file) => soundFile(kept, file).problem ?? []);
  problems.push(...people.problems, ...chain.problems, ...lost);
  const photos = files.filter(({ kind }) => kind === 'photo').length;
  const maps = files.length - photos;
  return { entries: chain.entries, photos, maps, people: people.events, problems, heads };
}

/** The files that an entry names; none where it cannot be read, which is said elsewhere. */
function filesIn(stored: StoredEntry): FileOfEntry[] {
  try {
    return filesOfEntry(entryOf(stored));
  } catch {
    return [];
  }
}
