import { type KeptYard, yardStore } from './device-stores.ts';

/** What is being kept: one after the other, so that the yard opened last is the one that stays. */
let keeping: Promise<void> = Promise.resolve();

/** Keeps a yard on this device, in place of the one before. Where the browser keeps nothing, nothing is kept. */
export function keepYard(kept: KeptYard): Promise<void> {
  keeping = keeping.then(() => write(kept));
  return keeping;
}

async function write(kept: KeptYard): Promise<void> {
  try {
    await yardStore.put(kept);
  } catch {
    // Storage may be forbidden or full; the next start then opens a demo yard.
  }
}

/** The yard that was open last on this device; null where none was kept. */
export const keptYard = (): Promise<KeptYard | null> => yardStore.get();
