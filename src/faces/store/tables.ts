import type { Kysely, RawBuilder } from 'kysely';

/** The end of each site's chain: where the next entry goes. `hash` is null before the first. */
interface HeadsTable {
  site: string;
  seq: number;
  hash: string | null;
}

/** Entries as readable text: the RFC 8785 text of the sealed entry. The other columns are what it is found by. */
interface EntriesTable {
  id: string;
  site: string;
  seq: number;
  entry: string;
}

export interface Tables {
  heads: HeadsTable;
  entries: EntriesTable;
}

/** A database, with what differs between the kinds of it. */
export interface Database {
  kind: 'sqlite' | 'postgres';
  db: Kysely<Tables>;
  /** Starts a transaction that writes, and one that reads and sees the book as it stands. */
  begin: { write: RawBuilder<unknown>; read: RawBuilder<unknown> };
  /** Whether trying the whole transaction again may succeed. */
  isPassing(error: unknown): boolean;
  /** The StoreFault that an error of the database means; any other error as it is. */
  faultOf(error: unknown): unknown;
  /** Looks through the file itself; an empty list where it is sound. */
  ownProblems(): Promise<string[]>;
}
