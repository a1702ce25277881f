import { computed, signal } from '@preact/signals';

const isRefused = { words: signal(false), store: signal(false) };
/** Whether this browser keeps what is typed here: a private window may refuse, and a device may be full. */
export const isKeeping = computed(() => !isRefused.words.value && !isRefused.store.value);

/** What came of keeping something larger in the browser's database, such as photos. */
export const noteStore = (keeping: Promise<unknown>): Promise<void> =>
  keeping.then(
    () => {
      isRefused.store.value = false;
    },
    () => {
      isRefused.store.value = true;
    },
  );

const PREFIX = 'oilshed-';

/** What this device keeps under a name, at once and through a reload; null where it keeps nothing. */
export function keptWord(name: string): string | null {
  try {
    return localStorage.getItem(PREFIX + name);
  } catch {
    isRefused.words.value = true;
    return null;
  }
}

/** Keeps text under a name; null takes away what stood there. Where the browser refuses, the page goes on and says so. */
export function keepWord(name: string, text: string | null): void {
  try {
    if (text === null) localStorage.removeItem(PREFIX + name);
    else localStorage.setItem(PREFIX + name, text);
    isRefused.words.value = false;
  } catch {
    isRefused.words.value = true;
  }
}

/** Tells what another tab of this browser keeps under any name from now on; null where it took it away. */
export function onKeptElsewhere(tell: (name: string, text: string | null) => void): void {
  addEventListener('storage', ({ key, newValue }: StorageEvent) => {
    if (key?.startsWith(PREFIX)) tell(key.slice(PREFIX.length), newValue);
  });
}

/** Takes all of it away. */
export function forgetWords(): void {
  try {
    for (const key of Object.keys(localStorage)) if (key.startsWith(PREFIX)) localStorage.removeItem(key);
  } catch {
    // A browser that lets nobody look keeps nothing.
  }
}

/** What JSON says; undefined where it is none. */
export function valueIn(text: string | null): unknown {
  try {
    return text === null ? undefined : JSON.parse(text);
  } catch {
    return undefined;
  }
}
