import { signal } from '@preact/signals';

const KEPT_AS = 'oilshed-by';

/** Who writes on this device: entries are signed so, until another name is written. */
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
