import { LANGUAGES, type Language } from '../../catalogue/index.ts';

/** What the command's words, or else the environment, ask for: a language of the catalogue, a word that is none, or nothing. */
export type Asked = { language: Language } | { name: string; word: string } | null;

const languageOf = (word: string) => LANGUAGES.find((each) => each === word);

/**
 * Reads `--lang` before anything else is read, since help and errors about the other words are said in that language too; then
 * OILSHED_LANG. A `--lang` without a word behind it is left to those who read the other words.
 */
export function languageAsked(words: readonly string[], { OILSHED_LANG }: NodeJS.ProcessEnv): Asked {
  const end = words.indexOf('--');
  const flags = end < 0 ? words : words.slice(0, end);
  const at = flags.findLastIndex((word) => word === '--lang' || word.startsWith('--lang='));
  const flag = flags[at] === '--lang' ? flags[at + 1] : flags[at]?.slice('--lang='.length);
  const [name, word] = flag === undefined ? ['OILSHED_LANG', OILSHED_LANG] : ['--lang', flag];
  if (word === undefined || (word === '' && name === 'OILSHED_LANG')) return null;
  const language = languageOf(word);
  return language ? { language } : { name, word };
}
