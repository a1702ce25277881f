import { Kysely, PostgresDialect, sql } from 'kysely';
import { told } from '../catalogue/index.ts';
import { StoreFault } from './fault.ts';
import type { Database, Tables } from './tables.ts';

const CONNECTIONS = 8;
const CONNECT_TIMEOUT_MS = 5000;

/** The log book in PostgreSQL. A commit is on its disk before it comes back, whatever the server's own setting. */
export async function openPostgres(connectionString: string): Promise<Database> {
  const { default: pg } = await import('pg');
  const pool = new pg.Pool({ connectionString, max: CONNECTIONS, connectionTimeoutMillis: CONNECT_TIMEOUT_MS });
  // A connection that breaks while nobody uses it: the next query says so.
  pool.on('error', () => {});
  // And one that breaks between two queries of its user.
  pool.on('connect', (client) => client.on('error', () => {}));
  return {
    kind: 'postgres',
    db: new Kysely<Tables>({ dialect: new PostgresDialect({ pool }) }),
    begin: {
      write: sql`begin; set local synchronous_commit = on`,
      read: sql`begin isolation level repeatable read read only`,
    },
    isPassing: (error) => PASSING.includes(codeOf(error)),
    faultOf,
    fileFault: () => null,
    ownProblems: async () => [],
  };
}

/** Two of the same at once (the second look finds the first), two waiting for each other, a server that starts or has no connection left. */
const PASSING = ['23505', '40001', '40P01', '57P03', '53300'];

const codeOf = (error: unknown) => String((error as { code?: unknown }).code ?? '');

/** Classes of PostgreSQL's errors that are about the connection or the server, not about us. */
const UNREACHABLE = /^(08|28|3D|53|57|58)...$|^(XX00[12])$|^(ECONN|ENOTFOUND|EAI_|ETIMEDOUT|EHOSTUNREACH)/;

/** Undefined table, undefined column (PostgreSQL, Appendix A). */
const NOT_OURS = ['42P01', '42703'];

function faultOf(error: unknown): unknown {
  const words = error instanceof Error ? error.message : '';
  const code = codeOf(error);
  if (PASSING.includes(code))
    return new StoreFault('log-busy', told('store.database-busy'), told('store.try-again'), error);
  if (NOT_OURS.includes(code)) {
    const message = told('store.database-lacks', { words });
    return new StoreFault('log-damaged', message, told('store.database-lacks-remedy'), error);
  }
  if (UNREACHABLE.test(code) || /timeout|terminated|discarded|connection error/i.test(words)) {
    const message = told('store.database-unusable', { words: words || code });
    return new StoreFault('log-unwritable', message, told('store.database-unusable-remedy'), error);
  }
  return error;
}
