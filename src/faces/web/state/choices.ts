import { batch, computed, type ReadonlySignal, signal } from '@preact/signals';
import { LANGUAGES } from '../../../catalogue/index.ts';
import { keepWord, keptWord } from './device-words.ts';

/** A choice of how the page is shown. An address may ask for one; else what was chosen on this device counts. */
export interface Choice<T extends string> {
  /** Null where neither asks for anything. */
  value: ReadonlySignal<T | null>;
  /** Takes what an address asks for; null, or a word that is none, leaves it to the device. */
  askFor(word: string | null): void;
  /** Chooses for this device, and keeps that. Null takes the choice back. */
  choose(value: T | null): void;
}

export function choiceOf<T extends string>(name: string, values: readonly T[]): Choice<T> {
  const known = (word: string | null) => values.find((value) => value === word) ?? null;
  const chosen = signal(known(keptWord(name)));
  const asked = signal<T | null>(null);
  return {
    value: computed(() => asked.value ?? chosen.value),
    askFor: (word) => {
      asked.value = known(word);
    },
    choose: (value) => {
      batch(() => {
        asked.value = null;
        chosen.value = value;
      });
      keepWord(name, value);
    },
  };
}

/** The language; without a choice that of the browser, else of the site, counts. */
export const languageChoice = choiceOf('lang', LANGUAGES);

/** Units of what is shown, in place of the site's. */
export const UNITS = ['us', 'si'] as const;
export const unitsChoice = choiceOf('units', UNITS);
