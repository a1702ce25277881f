/** What was seen and done: entries, their chain of hashes, checking it. */
export { type ChainCheck, chainCheck, correctedBy, type Head, type StoredEntry } from './chain.ts';
export { type DueVisit, dueVisits, upkeepQuestion, visitsDue } from './due.ts';
export {
  accountShape,
  ENTRY_KINDS,
  type Entry,
  type EntryKind,
  type EntryReading,
  entrySchema,
  readEntry,
  sealShape,
} from './entry.ts';
export { filesNamed, LARGEST_MAP, type NamedFile } from './files.ts';
export {
  behindHead,
  headShape,
  headsText,
  type KeptHead,
  type KeptHeads,
  keptHeads,
  PEOPLE,
  readHeads,
} from './heads.ts';
export {
  checkPeopleRecord,
  olderCopiesAccepted,
  type PeopleChange,
  type PeopleEvent,
  type PeopleHead,
  peopleRecordProblems,
  readPeopleEvent,
  type StoredPeopleEvent,
  sealPeopleChange,
  unrecordedPeople,
} from './people-record.ts';
export { LARGEST_PHOTO, photoType } from './photo.ts';
export { withoutPlace } from './photo-place.ts';
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
export { conditionOf, type DueWork, dueWork, emptiedOf, findingsFileOf, standingEntries } from './standing.ts';
export { actionFor, stepsLeft } from './steps.ts';
export { CSV_TITLES, csvRow } from './table.ts';
export { type CopyStanding, copyStanding, type Linked } from './witness.ts';
