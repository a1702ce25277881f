/** What was seen and done: entries, their chain of hashes, checking it. */

export { type Action, type BodyOf, ENTRY_KINDS, type EntryKind } from './bodies.ts';
export { type ChainCheck, chainCheck, correctedBy, type Head, type StoredEntry } from './chain.ts';
export { type DueVisit, dueVisits, upkeepQuestion, visitsDue } from './due.ts';
export {
  type Entry,
  type EntryOf,
  type NewEntry,
  noteOf,
  ofKind,
  type Seal,
  type SealedEntry,
  type SealedOf,
  subjectOf,
  type UnfitEntry,
} from './entry.ts';
export { accountShape, entrySchema, sealShape } from './entry-format.ts';
export { filesNamed, LARGEST_MAP, type NamedFile } from './files.ts';
export {
  behindHead,
  type ChainHead,
  headShape,
  headsText,
  type KeptHead,
  type KeptHeads,
  keptHeads,
  PEOPLE,
  readHeads,
} from './heads.ts';
export { mapIdSchema } from './id-format.ts';
export { type EntryId, isEntryId, isSiteId, type MapId, type SiteId } from './ids.ts';
export { type DueWork, dueWork, emptiedOf, entriesInForce, findingsFileOf } from './in-force.ts';
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
export { type EntryReading, keptEntry, keptSealedEntry, LONGEST_ENTRY, readEntry } from './read.ts';
export {
  asWritten,
  canonicalText,
  entryText,
  isSameContent,
  type Sha256,
  sealEntry,
  unsealed,
} from './seal.ts';
export { readSealedEntry } from './sealed.ts';
export { actionFor, stepsLeft } from './steps.ts';
export { CSV_TITLES, csvRow } from './table.ts';
export { type CopyComparison, compareCopy, type Linked } from './witness.ts';
