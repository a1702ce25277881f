import { type KeptYard, mapStore, yardStore } from './device-stores.ts';
import { noteStore } from './device-words.ts';

/** What is being kept: one after the other, so that the yard opened last is the one that stays. */
let keeping: Promise<void> = Promise.resolve();

/** Keeps a yard on this device, in place of the one before. Where the browser keeps nothing, the next start opens a demo yard. */
export function keepYard(kept: KeptYard, mark: string): Promise<void> {
  keeping = keeping.then(() => noteStore(write(kept, mark)));
  return keeping;
}

async function write(kept: KeptYard, mark: string): Promise<void> {
  await yardStore.put(kept);
  if ('map' in kept) await mapStore.put(mark, kept);
}

/** The yard that was open last on this device; null where none was kept. */
export const keptYard = (): Promise<KeptYard | null> => yardStore.get();

/** A yard that an address names, where this device has its map. */
export const yardOfMark = (mark: string): Promise<KeptYard | null> => mapStore.get(mark);
