/** What was seen and done: entries, their chain of hashes, checking it. */
export { type ChainCheck, chainCheck, correctedBy, type Head, type StoredEntry } from './chain.ts';
export { type DueVisit, dueVisits } from './due.ts';
export {
  ENTRY_KINDS,
  type Entry,
  type EntryKind,
  type EntryReading,
  entrySchema,
  readEntry,
  sealShape,
} from './entry.ts';
export { LARGEST_PHOTO, photoType } from './photo.ts';
export {
  canonicalText,
  isSameContent,
  type Seal,
  type SealedEntry,
  type Sha256,
  sealEntry,
  unsealed,
} from './seal.ts';
export { readSealedEntry } from './sealed.ts';
export { type DueWork, dueWork, emptiedOf, findingsFileOf, standingEntries } from './standing.ts';
export { CSV_TITLES, csvRow } from './table.ts';
