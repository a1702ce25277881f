import { signal } from '@preact/signals';
import { type BookCopy, copyStore } from './device-stores.ts';
import { keepWord, keptWord } from './device-words.ts';
import { clearOnDevice } from './on-device.ts';

/** Copies that were put aside, of all sites. They are thrown away only when somebody asks for it. */
export const copies = signal<readonly BookCopy[]>([]);

const { keyOf } = copyStore;

/** Puts a copy aside. False where the device has no room for it: it then lives as long as the page does. */
export async function keepCopy(copy: BookCopy): Promise<boolean> {
  const key = keyOf(copy);
  copies.value = [...copies.value.filter((each) => keyOf(each) !== key), copy];
  return copyStore.put(copy).then(
    () => true,
    () => false,
  );
}

/** Takes up what was put aside on this device before. */
export async function loadCopies(): Promise<void> {
  const kept = await copyStore.all();
  const here = new Set(copies.value.map(keyOf));
  copies.value = [...kept.filter((each) => !here.has(keyOf(each))), ...copies.value];
}

export function dropCopy(copy: BookCopy): void {
  copies.value = copies.value.filter((each) => each !== copy);
  void copyStore.drop(copy).catch(() => {});
}

/** Takes all that was read of log books off this device. */
export async function forgetBooks(): Promise<void> {
  copies.value = [];
  await Promise.all([clearOnDevice('book'), clearOnDevice('copy')]).catch(() => {});
}

const HIDDEN = 'book-hidden';

/** Whether what was read may be shown only to who signs in again, since somebody has signed out; lasts through a reload. */
export const isHidden = (): boolean => keptWord(HIDDEN) !== null;
export const setHidden = (hidden: boolean): void => keepWord(HIDDEN, hidden ? 'yes' : null);
