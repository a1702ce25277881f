/** The log book's store: entries and people in SQLite or PostgreSQL, photos and maps on disk. */
export { backUp } from './backup.ts';
export { StoreFault } from './fault.ts';
export { type FileOfEntry, filesOfEntry, filesOfKind, missingFiles, soundFile } from './kept-files.ts';
export { type Accepted, entryOf, type LogStore, type Verified, type Which } from './log-store.ts';
export { type LogBook, openLogStore } from './open.ts';
export type { People } from './people.ts';
export type { PeopleRecord } from './people-record.ts';
export { type Person, THIS_MACHINE } from './person.ts';
export { PHOTO_QUOTA, type PhotoQuota, photoQuota, sizeOfWords } from './photo-quota.ts';
export { photosIn, sha256 } from './photos.ts';
export { type ListedSession, SESSION_DAYS, type Session } from './sessions.ts';
export { ROLES, type Role } from './tables.ts';
export type { ListedToken } from './tokens.ts';
export type { Answer } from './transaction.ts';
