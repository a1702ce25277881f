import { LANGUAGES, type Language, loadMessages, type Voice, voiceOf } from '../../catalogue/index.ts';

const VOICES: ReadonlyMap<Language, Voice> = new Map(
  await Promise.all(
    LANGUAGES.map(async (language): Promise<[Language, Voice]> => {
      return [language, voiceOf({ language, messages: await loadMessages(language) })];
    }),
  ),
);

/** The voice of a language, English where there is none. */
export function voiceIn(language: Language): Voice {
  const voice = VOICES.get(language) ?? VOICES.get('en');
  if (!voice) throw new Error('the catalogue has no English');
  return voice;
}
