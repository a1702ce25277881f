import type { Kysely, RawBuilder } from 'kysely';
import type { Told } from '../catalogue/index.ts';
import type { EntryId, SiteId } from '../log-book/index.ts';

/** What somebody may do, least first: read; add entries and photos too; add maps too. */
export const ROLES = ['viewer', 'crew', 'manager'] as const;
export type Role = (typeof ROLES)[number];

/** The end of each site's chain: where the next entry goes. `hash` is null before the first. */
interface HeadsTable {
  site: SiteId;
  seq: number;
  hash: string | null;
}

/** Entries as readable text: the RFC 8785 text of the sealed entry. The other columns are what it is found by. */
interface EntriesTable {
  id: EntryId;
  site: SiteId;
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
  /** What it is called where sessions are listed. */
  id: string;
  person: string;
  began: string;
  /** When it was last used, within some minutes. */
  seen: string;
  ends: string;
  /** What the browser calls itself. */
  agent: string;
  /** 1 where nothing else is allowed before a new password; databases differ in what else they take for yes and no. */
  must_change: 0 | 1;
}

/** What programs sign in with. The token itself is with its owner alone. */
interface TokensTable {
  /** SHA-256 of the token, in hex. */
  token: string;
  person: string;
  name: string;
  role: Role;
  made: string;
}

/** The record of people: each event as readable text, as entries are. */
interface PeopleEventsTable {
  seq: number;
  event: string;
}

/** The end of that record: one row. */
interface PeopleHeadTable {
  id: 1;
  seq: number;
  hash: string | null;
}

/** Refused sign-ins of hours that are not in the record yet, by the name of the person; empty for names that nobody has. */
interface RefusedTable {
  hour: string;
  person: string;
  count: number;
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
  tokens: TokensTable;
  people_events: PeopleEventsTable;
  people_head: PeopleHeadTable;
  refused_sign_ins: RefusedTable;
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
  /** What is wrong with the file, at one look; null where nothing shows. */
  fileFault(): Told | null;
  /** Looks through the file itself; an empty list where it is sound. */
  ownProblems(): Promise<string[]>;
}
