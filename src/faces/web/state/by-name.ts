import { signal } from '@preact/signals';
import { keepWord, keptWord } from './device-words.ts';

const KEPT_AS = 'by';

/** Who writes on this device: entries are signed so, until another name is written or another person signs in. */
export const byName = signal(keptWord(KEPT_AS) ?? '');

export function setByName(name: string): void {
  byName.value = name;
  keepWord(KEPT_AS, name);
}

/** Whose name stands there because they signed in. */
let signed: string | null = null;

/** Whoever signs in signs what is written; signed out, their name goes with them. */
export function setSignedName(name: string | null): void {
  if (name !== null) byName.value = name;
  else if (signed !== null) byName.value = '';
  signed = name;
}
