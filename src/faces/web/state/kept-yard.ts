import { fromDevice, putOnDevice } from './on-device.ts';
import type { DemoYard } from './yard.ts';

/** The yard to open at the next start: a demo yard by its name, one's own by its bytes. */
export type KeptYard = { demo: DemoYard } | { fileName: string; map: ArrayBuffer; findings: string | null };

const KEY = 'last';

/** What is being kept: one after the other, so that the yard opened last is the one that stays. */
let keeping: Promise<void> = Promise.resolve();

/** Keeps a yard on this device, in place of the one before. Where the browser keeps nothing, nothing is kept. */
export function keepYard(kept: KeptYard): Promise<void> {
  keeping = keeping.then(() => write(kept));
  return keeping;
}

async function write(kept: KeptYard): Promise<void> {
  try {
    await putOnDevice('yard', KEY, kept);
  } catch {
    // Storage may be forbidden or full; the next start then opens a demo yard.
  }
}

/** The yard that was open last on this device; null where none was kept. */
export async function keptYard(): Promise<KeptYard | null> {
  try {
    return ((await fromDevice('yard', KEY)) as KeptYard | undefined) ?? null;
  } catch {
    return null;
  }
}
