import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Kysely } from 'kysely';
import { behindHead, type Head, headsText, type KeptHead, keptHeads, readHeads } from '../../log-book/index.ts';
import { hasErrors, type Problem, problem } from '../../site-map/index.ts';
import { readFault } from './fault.ts';
import { sha256, syncFolder, writeDurably } from './photos.ts';
import type { Database, Tables } from './tables.ts';
import { inTransaction, patiently } from './transaction.ts';

/**
 * The heads of the book's chains, in a small file beside its database. A database that lost its write-ahead log, or that an
 * older one was put in the place of, is whole in itself; only something beside it tells that it had more.
 */
export interface HeadsBeside {
  /** The heads in the file, null where there are none to be read; and what is wrong with it. */
  read(): { heads: KeptHead[] | null; problems: Problem[] };
  /** To be called on opening: a file that is missing is made at once, one that lags behind follows. Never throws. */
  begin(): Promise<void>;
  /**
   * To be called after each commit that moved a head on. Sees to it that the file follows within a second, and waits for
   * that only where so long nothing else came to it. Never throws: an entry that is in the book stays accepted.
   */
  changed(): Promise<void>;
  /** Writes down the heads as they are, whatever the file says. Throws what the file system says. */
  overwrite(): Promise<void>;
  /** Writes what is left to write. */
  close(): Promise<void>;
}

export const headsFile = (folder: string) => join(folder, 'log.heads');

/** The file follows the book so soon, which leaves time to try again within the second. */
const FOLLOWS_MS = 400;
/** So long a write waits for others that hold the book; the next tries again. */
const PATIENCE_MS = 200;

const TAKE_BACK =
  'look for log.sqlite-wal and put it back beside log.sqlite, or restore the newest backup; ' +
  'if an older copy was put here on purpose, accept it with oilshed log heads --accept';

export const headsOf = (db: Kysely<Tables>): Promise<Head[]> =>
  db.selectFrom('heads').selectAll().where('seq', '>', 0).orderBy('site').execute();

/** What the book lacks of heads that were kept: entries that are gone, or others in their place. O(heads). */
export async function lackedBy(tx: Kysely<Tables>, kept: readonly KeptHead[], cure: string): Promise<Problem[]> {
  const ends = new Map((await headsOf(tx)).map((head) => [head.site, head]));
  const problems: Problem[] = [];
  for (const head of kept) {
    const end = ends.get(head.site);
    const found = end?.seq === head.seq ? end.hash : await hashAt(tx, head);
    problems.push(...behindHead(head, end?.seq ?? 0, found, cure));
  }
  return problems;
}

async function hashAt(tx: Kysely<Tables>, { site, seq }: KeptHead): Promise<string | null> {
  const query = tx.selectFrom('entries').select('entry').where('site', '=', site).where('seq', '=', seq);
  try {
    const { hash } = JSON.parse((await query.executeTakeFirst())?.entry ?? '{}');
    return typeof hash === 'string' ? hash : null;
  } catch (error) {
    if (error instanceof SyntaxError) return null;
    throw error;
  }
}

/** What the book lacks of the heads that stand beside it. */
export const lackedBesides = (tx: Kysely<Tables>, kept: readonly KeptHead[]) => lackedBy(tx, kept, TAKE_BACK);

function readBeside(folder: string): ReturnType<HeadsBeside['read']> {
  const file = headsFile(folder);
  const whole = { id: null, field: null };
  if (!existsSync(file)) {
    const message = 'no heads stand beside the log book (log.heads), so that entries missing from its end do not show';
    const cure = 'hold it against heads kept elsewhere, with oilshed log verify --heads FILE';
    return { heads: null, problems: [problem('no-heads', whole, { message, cure })] };
  }
  const cure =
    'hold the book against heads kept elsewhere or the last export, then accept it with oilshed log heads --accept';
  try {
    const { heads = null, problems } = readHeads(readFileSync(file, 'utf8'), sha256);
    if (heads) return { heads, problems };
    const message = `log.heads is damaged (${problems[0].message})`;
    return { heads, problems: [problem('log-damaged', whole, { message, cure })] };
  } catch (error) {
    return { heads: null, problems: [readFault(file, error).problem] };
  }
}

export function headsBeside(database: Database, folder: string): HeadsBeside {
  const { db, begin } = database;
  const read = () => readBeside(folder);
  /** Under the lock of those who write in the book, so that nobody's file is put in the place of a newer one. */
  const locked = (work: (tx: Kysely<Tables>) => Promise<void>) =>
    patiently(database, PATIENCE_MS, () => inTransaction(db, begin.write, work));
  const write = async (tx: Kysely<Tables>) => {
    writeDurably(headsFile(folder), Buffer.from(headsText(keptHeads(await headsOf(tx)), sha256)));
    syncFolder(folder);
  };
  const follow = async (tx: Kysely<Tables>) => {
    const { heads, problems } = read();
    // What it says is not written over while it contradicts the book: somebody has to look at that.
    if (hasErrors(problems) || (await lackedBesides(tx, heads ?? [])).length > 0) return;
    if (heads === null || !isSame(heads, keptHeads(await headsOf(tx)))) await write(tx);
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
    overwrite: () => locked(write),
    async close() {
      await flush();
      clearTimeout(timer);
    },
  };
}

const isSame = (one: readonly KeptHead[], other: readonly KeptHead[]) => JSON.stringify(one) === JSON.stringify(other);
