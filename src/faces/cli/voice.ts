import { type Key, loadMessages, type SiteHabits, type ValuesOf, type Voice, voiceOf } from '../../catalogue/index.ts';
import { world } from './world.ts';

/** How the run that asks speaks: in the language that was chosen, by the habits of the map once one is read. */
export const voice = (): Voice => world().voice;

/** The same language by the habits of a site. */
export async function voiceFor(site: SiteHabits): Promise<Voice> {
  const { language } = voice();
  return voiceOf({ language, messages: await loadMessages(language) }, site);
}

export const say = <K extends Key>(key: K, ...values: ValuesOf<K>): string => voice().say(key, ...values);
