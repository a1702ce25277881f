import { computed, effect } from '@preact/signals';
import { LANGUAGES, type Language } from '../../../catalogue/index.ts';
import { languageChoice } from './choices.ts';
import { speak, voice } from './voice.ts';
import { yard } from './yard.ts';

const FIRST: Language = 'en';

/** The first language of the browser that the page speaks; undefined where it speaks none of them. */
export const languageOf = (browser: readonly string[]): Language | undefined =>
  browser.flatMap((tag) => LANGUAGES.filter((each) => tag.toLowerCase().split('-')[0] === each))[0];

/** As an address or somebody here chose, else as the browser is set, else as the map says. */
const wanted = computed(
  () => languageChoice.value.value ?? languageOf(navigator.languages) ?? yard.value?.map.site.language ?? FIRST,
);

/** Speaks as is wanted, from before the first drawing and for as long as the page lives. A language that cannot be fetched leaves the one before. */
export async function speakAsWanted(): Promise<void> {
  await speak(wanted.peek()).catch(() => speak(FIRST));
  effect(() => {
    document.documentElement.lang = voice.value.language;
  });
  effect(() => {
    const language = wanted.value;
    if (language !== voice.peek().language) void speakWhileWanted(language);
  });
}

async function speakWhileWanted(language: Language): Promise<void> {
  await speak(language).catch(() => {});
  // Another may have been chosen while its words were on their way.
  if (voice.peek().language !== wanted.peek() && wanted.peek() !== language) await speakWhileWanted(wanted.peek());
}
