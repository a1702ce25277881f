/** The catalogue: every sentence, in each language, and the voice that says it. A language is one file: en.json, es.json. */
export {
  type Key,
  LANGUAGES,
  type Language,
  loadMessages,
  loadPageMessages,
  type Messages,
  type PageKey,
} from './compiled/index.ts';
export { isTold, type Quantity, type Text, type Told, told, type ValuesOf } from './told.ts';
export { capital, type Part, type SiteHabits, type Voice, voiceOf } from './voice.ts';
