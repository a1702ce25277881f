/** The log book's store: entries and people in SQLite or PostgreSQL, photos and maps on disk. */
export { backUp } from './backup.ts';
export { StoreFault } from './fault.ts';
export { type Accepted, type Answer, entryOf, type LogStore, type Verified, type Which } from './log-store.ts';
export { type LogBook, openLogStore } from './open.ts';
export { type People, type Person, SESSION_DAYS } from './people.ts';
export { sha256 } from './photos.ts';
export { ROLES, type Role } from './tables.ts';
