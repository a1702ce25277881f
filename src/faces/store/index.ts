/** The log book's store: entries in SQLite or PostgreSQL, photos on disk. */
export { StoreFault } from './fault.ts';
export type { Accepted, Answer, LogStore, Verified, Which } from './log-store.ts';
export { openLogStore } from './open.ts';
export { sha256 } from './photos.ts';
