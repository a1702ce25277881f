import { signal } from '@preact/signals';

const KEPT_AS = 'oilshed-by';

/** Who writes on this device: entries are signed so, until another name is written or another person signs in. */
export const byName = signal(keptName());

function keptName(): string {
  try {
    return localStorage.getItem(KEPT_AS) ?? '';
  } catch {
    return '';
  }
}

export function setByName(name: string): void {
  byName.value = name;
  try {
    localStorage.setItem(KEPT_AS, name);
  } catch {
    // The name is then written anew each time.
  }
}

/** Whose name stands there because they signed in. */
let signed: string | null = null;

/** Whoever signs in signs what is written; signed out, their name goes with them. */
export function setSignedName(name: string | null): void {
  if (name !== null) byName.value = name;
  else if (signed !== null) byName.value = '';
  signed = name;
}
