import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Kysely } from 'kysely';
import { type Told, told } from '../catalogue/index.ts';
import {
  behindHead,
  type ChainHead,
  type Head,
  headsText,
  type KeptHead,
  type KeptHeads,
  keptHeads,
  PEOPLE,
  readHeads,
} from '../log-book/index.ts';
import { hasErrors, type Problem, problem } from '../site-map/index.ts';
import { fileFault, readFault } from './fault.ts';
import { peopleHeadIn, record } from './people-record.ts';
import { sha256, syncFolder, writeDurably } from './photos.ts';
import type { Database, Tables } from './tables.ts';
import { inTransaction, retryWhileBusy } from './transaction.ts';

/**
 * The heads of the book's chains, in a small file beside its database. A database that lost its write-ahead log, or that an
 * older one was put in the place of, is whole in itself; only something beside it tells that it had more.
 */
export interface HeadsBeside {
  /** What the file has, null where it cannot be read or is not there; and what is wrong with it. */
  read(): { kept: KeptHeads | null; problems: Problem[] };
  /** To be called on opening: a file that is missing is made at once, one that lags behind follows. Never throws. */
  begin(): Promise<void>;
  /**
   * To be called after each commit that moved a head on. Sees to it that the file follows within a second, and waits for
   * that only where so long nothing else came to it. Never throws: an entry that is in the book stays accepted.
   */
  changed(): Promise<void>;
  /**
   * Takes the book as it stands for what is wanted: writes what it lacks of these heads into its record, then the heads as
   * they are now. Gives back what was wrong, nothing where nothing was. Throws a StoreFault.
   */
  accept(at: string): Promise<Problem[]>;
  /** Writes what is left to write. */
  close(): Promise<void>;
}

export const headsFile = (folder: string) => join(folder, 'log.heads');

/** The file follows the book so soon, which leaves time to try again within the second. */
const FOLLOWS_MS = 400;
/** So long a write waits for others that hold the book; the next tries again. */
const PATIENCE_MS = 200;
const ACCEPT_PATIENCE_MS = 10_000;

const TAKE_BACK = told('store.behind-remedy');

export const headsOf = (db: Kysely<Tables>): Promise<Head[]> =>
  db.selectFrom('heads').selectAll().where('seq', '>', 0).orderBy('site').execute();

export const keptHeadsOf = async (db: Kysely<Tables>): Promise<KeptHeads> =>
  keptHeads(await headsOf(db), await peopleHeadIn(db));

/** What the book lacks of heads that were kept: entries that are gone, or others in their place. O(heads). */
export async function lackedBy(tx: Kysely<Tables>, kept: KeptHeads, cure: Told): Promise<Lacked[]> {
  const ends = new Map((await headsOf(tx)).map((head) => [head.site, head]));
  const lacked: Lacked[] = [];
  const look = (head: ChainHead, end: number, found: string | null) => {
    for (const problem of behindHead(head, end, found, cure)) lacked.push({ head, problem });
  };
  for (const head of kept.heads) {
    const end = ends.get(head.site);
    look(head, end?.seq ?? 0, end?.seq === head.seq ? end.hash : await hashOfEntry(tx, head));
  }
  if (kept.people !== null) {
    const { seq } = await peopleHeadIn(tx);
    look({ site: PEOPLE, ...kept.people }, seq, await hashOfEvent(tx, kept.people.seq));
  }
  return lacked;
}

/** A head that was kept and is not in the book, and how that is said. */
export interface Lacked {
  head: ChainHead;
  problem: Problem;
}

async function hashOfEntry(tx: Kysely<Tables>, { site, seq }: KeptHead): Promise<string | null> {
  const query = tx.selectFrom('entries').select('entry').where('site', '=', site).where('seq', '=', seq);
  return hashIn((await query.executeTakeFirst())?.entry);
}

async function hashOfEvent(tx: Kysely<Tables>, seq: number): Promise<string | null> {
  return hashIn(
    (await tx.selectFrom('people_events').select('event').where('seq', '=', seq).executeTakeFirst())?.event,
  );
}

/** The hash that a sealed text says it has; null where it cannot be read. */
function hashIn(text = '{}'): string | null {
  try {
    const { hash } = JSON.parse(text);
    return typeof hash === 'string' ? hash : null;
  } catch {
    return null;
  }
}

/** What the book lacks of the heads that stand beside it. */
export const lackedBesides = async (tx: Kysely<Tables>, kept: KeptHeads | null): Promise<Lacked[]> =>
  kept === null ? [] : lackedBy(tx, kept, TAKE_BACK);

function readBeside(folder: string): ReturnType<HeadsBeside['read']> {
  const file = headsFile(folder);
  const whole = { id: null, field: null };
  if (!existsSync(file)) {
    const words = { message: told('store.no-heads'), cure: told('store.no-heads-remedy') };
    return { kept: null, problems: [problem('no-heads', whole, words)] };
  }
  try {
    const { kept = null, problems } = readHeads(readFileSync(file, 'utf8'), sha256);
    if (kept) return { kept, problems };
    const message = told('store.heads-damaged', { problem: problems[0].message });
    const cure = told('store.heads-damaged-remedy');
    return { kept, problems: [problem('log-damaged', whole, { message, cure })] };
  } catch (error) {
    return { kept: null, problems: [readFault(file, error).problem] };
  }
}

export function headsBeside(database: Database, folder: string): HeadsBeside {
  const { db, begin } = database;
  const read = () => readBeside(folder);
  /** Under the lock of those who write in the book, so that nobody's file is put in the place of a newer one. */
  const locked = <T>(work: (tx: Kysely<Tables>) => Promise<T>, patienceMs = PATIENCE_MS) =>
    retryWhileBusy(database, patienceMs, () => inTransaction(db, begin.write, work));
  const write = async (tx: Kysely<Tables>) => {
    writeDurably(headsFile(folder), Buffer.from(headsText(await keptHeadsOf(tx), sha256)));
    syncFolder(folder);
  };
  const follow = async (tx: Kysely<Tables>) => {
    const { kept, problems } = read();
    // What it says is not written over while it contradicts the book: somebody has to look at that.
    if (hasErrors(problems) || (await lackedBesides(tx, kept)).length > 0) return;
    if (JSON.stringify(kept) !== JSON.stringify(await keptHeadsOf(tx))) await write(tx);
  };
  let waitingSince: number | null = null;
  let timer: NodeJS.Timeout | undefined;
  let lastWrite = Promise.resolve();
  const writeWaiting = async () => {
    clearTimeout(timer);
    timer = undefined;
    if (waitingSince === null) return;
    waitingSince = null;
    // On a full disk, or where others hold the book, the file lags behind; that says nothing wrong, and it is tried again.
    await locked(follow).catch(wait);
  };
  const flush = () => {
    lastWrite = lastWrite.then(writeWaiting);
    return lastWrite;
  };
  const wait = () => {
    waitingSince ??= performance.now();
    timer ??= setTimeout(flush, FOLLOWS_MS).unref();
  };
  return {
    read,
    async begin() {
      wait();
      if (!existsSync(headsFile(folder))) await flush();
    },
    async changed() {
      wait();
      // Who adds entry after entry leaves no time for the timer.
      if (waitingSince !== null && performance.now() - waitingSince > FOLLOWS_MS) await flush();
    },
    async accept(at) {
      const problems = await locked((tx) => acceptIn(tx, database, read(), at), ACCEPT_PATIENCE_MS);
      await locked(write, ACCEPT_PATIENCE_MS).catch((error) => {
        throw fileFault(error);
      });
      return problems;
    },
    async close() {
      await flush();
      clearTimeout(timer);
    },
  };
}

async function acceptIn(
  tx: Kysely<Tables>,
  database: Database,
  { kept, problems }: ReturnType<HeadsBeside['read']>,
  at: string,
): Promise<Problem[]> {
  const lacked = await lackedBesides(tx, kept);
  const wrong = [...problems, ...lacked.map(({ problem }) => problem)].filter(({ severity }) => severity === 'error');
  if (wrong.length === 0) return [];
  const lost = lacked.map(({ head: { site, seq, hash } }) => ({ chain: site, seq, hash }));
  await record(tx, database, { event: 'older-copy-accepted', lost }, { at, account: null });
  return wrong;
}
