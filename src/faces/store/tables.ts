import type { Kysely, RawBuilder } from 'kysely';

/** What somebody may do, least first: read; add entries and photos too; add maps too. */
export const ROLES = ['viewer', 'crew', 'manager'] as const;
export type Role = (typeof ROLES)[number];

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

/** Who may sign in. `id` is the name without regard to case; `password` an argon2id hash. */
interface PeopleTable {
  id: string;
  name: string;
  role: Role;
  password: string;
  /** ISO 8601, as `ends` below. */
  added: string;
}

/** Who is signed in. The token itself is with the browser alone. */
interface SessionsTable {
  /** SHA-256 of the token, in hex. */
  token: string;
  person: string;
  ends: string;
}

/** Random keys that this log book made for itself, in hex. */
interface SecretsTable {
  name: string;
  secret: string;
}

export interface Tables {
  heads: HeadsTable;
  entries: EntriesTable;
  people: PeopleTable;
  sessions: SessionsTable;
  secrets: SecretsTable;
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
