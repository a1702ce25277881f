import { computed, signal } from '@preact/signals';
import {
  type Language,
  loadPageMessages,
  type Messages,
  type PageKey,
  type ValuesOf,
  type Voice,
  voiceOf,
} from '../../../catalogue/index.ts';
import { currency, units } from './yard.ts';

const spoken = signal<{ language: Language; messages: Messages }>({ language: 'en', messages: {} });

/** What is said on the screens, in the language that is spoken now and by the habits of the yard that is open. */
export const voice = computed<Voice>(() => voiceOf(spoken.value, { units: units.value, currency: currency.value }));

/** A message of the catalogue. What says one while it is drawn is drawn again when the language changes. */
export const say = <K extends PageKey>(key: K, ...values: ValuesOf<K>): string => voice.value.say(key, ...values);

/** Speaks a language from now on, once its messages are there. */
export async function speak(language: Language): Promise<void> {
  spoken.value = { language, messages: await loadPageMessages(language) };
}
