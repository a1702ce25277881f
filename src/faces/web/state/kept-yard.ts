import { openDB } from 'idb';
import type { DemoYard } from './yard.ts';

/** The yard to open at the next start: a demo yard by its name, one's own by its bytes. */
export type KeptYard = { demo: DemoYard } | { fileName: string; map: ArrayBuffer; findings: string | null };

const STORE = 'yard';
const KEY = 'last';

const database = () =>
  openDB('oilshed', 1, {
    upgrade: (made) => {
      made.createObjectStore(STORE);
    },
  });

/** What is being kept: one after the other, so that the yard opened last is the one that stays. */
let keeping: Promise<void> = Promise.resolve();

/** Keeps a yard on this device, in place of the one before. Where the browser keeps nothing, nothing is kept. */
export function keepYard(kept: KeptYard): Promise<void> {
  keeping = keeping.then(() => write(kept));
  return keeping;
}

async function write(kept: KeptYard): Promise<void> {
  try {
    const opened = await database();
    await opened.put(STORE, kept, KEY);
    opened.close();
  } catch {
    // Storage may be forbidden or full; the next start then opens a demo yard.
  }
}

/** The yard that was open last on this device; null where none was kept. */
export async function keptYard(): Promise<KeptYard | null> {
  try {
    const opened = await database();
    const kept = (await opened.get(STORE, KEY)) as KeptYard | undefined;
    opened.close();
    return kept ?? null;
  } catch {
    return null;
  }
}
