import { type Key, type Text, type ValuesOf, type Voice, voiceOf } from '../../catalogue/index.ts';
import type { Site } from '../../site-map/index.ts';
import { world } from './world.ts';

/** How the run that asks speaks: in the language that was chosen, by the habits of the map once one is read. */
export const voice = (): Voice => world().voice;

export const say = <K extends Key>(key: K, ...values: ValuesOf<K>): string => voice().say(key, ...values);

/** From now on it speaks by the habits of a map, and in the map's language where nobody chose another. */
export async function speakAsOn({ language: own = 'en', units, currency }: Site): Promise<void> {
  const run = world();
  const language = run.asked === null ? own : run.voice.language;
  run.voice = voiceOf({ language, messages: await run.loadMessages(language) }, { units, currency });
  if (run.english) run.english = await englishVoice(currency);
}

/** From now on it can also tell programs what it tells people. */
export async function speakToPrograms(): Promise<void> {
  world().english = await englishVoice();
}

const englishVoice = async (currency?: string) =>
  voiceOf({ language: 'en', messages: await world().loadMessages('en') }, { currency });

/** A text as programs read it, in English. */
export function inEnglish(text: Text): string {
  const { english } = world();
  if (!english) throw new Error('no verb that answers programs is running');
  return english.text(text);
}
