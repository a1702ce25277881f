import type { FastifyRequest } from 'fastify';
import { LANGUAGES, type Language, loadMessages, type SiteHabits, type Voice, voiceOf } from '../../catalogue/index.ts';

const [FIRST] = LANGUAGES;

const MESSAGES = new Map(
  await Promise.all(LANGUAGES.map(async (language) => [language, await loadMessages(language)] as const)),
);

/** The voice of a language, by the habits of a site where there is one. */
export const voiceIn = (language: Language, site?: SiteHabits): Voice =>
  voiceOf({ language, messages: MESSAGES.get(language) ?? {} }, site);

/** The voice of whoever asks: the language that they would rather have, by their browser or program. */
export const voiceFor = ({ headers }: FastifyRequest): Voice => voiceIn(languageIn(headers['accept-language']));

/**
 * The language of the catalogue that `Accept-Language` wants most (RFC 9110 §12.5.4); English where it wants none of them. Of two
 * that are wanted alike, the one named first.
 */
export function languageIn(header = ''): Language {
  const wanted = header.split(',').map((part) => {
    const [range, ...settings] = part.split(';').map((word) => word.trim().toLowerCase());
    const language = LANGUAGES.find((each) => each === range.split('-')[0]);
    const weight = settings.find((each) => each.startsWith('q='))?.slice(2) ?? 1;
    return { language, weight: Number(weight) };
  });
  const best = wanted
    .filter(({ language, weight }) => language && weight > 0)
    .reduce((before, each) => (each.weight > before.weight ? each : before), { language: FIRST, weight: 0 });
  return best.language ?? FIRST;
}
