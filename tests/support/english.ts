import { loadMessages, type Text, voiceOf } from '../../src/catalogue/index.ts';
import { type Problem, sayProblem } from '../../src/site-map/index.ts';

const messages = await loadMessages('en');
/** English, SI. */
export const ENGLISH = voiceOf({ language: 'en', messages });
/** English as on a site of the United States. */
export const US_ENGLISH = voiceOf({ language: 'en', messages }, { units: 'us' });
/** Spanish, SI, and as on a site of the United States. */
export const SPANISH = voiceOf({ language: 'es', messages: await loadMessages('es') });
export const US_SPANISH = voiceOf({ language: 'es', messages: await loadMessages('es') }, { units: 'us' });

/** What a room tells, in English. */
export const english = (text: Text): string => ENGLISH.text(text);

/** Problems in English. */
export const englishProblems = (problems: readonly Problem[]) => problems.map((each) => sayProblem(each, ENGLISH));
