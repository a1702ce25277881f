// `npm run soak`: kills a writer 1,000 times (or as often as said) and measures how many entries a second are acknowledged.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { openLogStore } from '../../../src/faces/store/index.ts';
import { madeEntry } from '../../log-book/made.ts';
import { buildWriter, killWriters } from './kills.ts';

async function entriesASecond(atOnce: number): Promise<number> {
  const folder = mkdtempSync(join(tmpdir(), 'oilshed-soak-'));
  const store = await openLogStore({ folder });
  const count = 2000;
  let next = 0;
  const start = performance.now();
  const crew = async () => {
    while (next < count) await store.add(madeEntry(++next));
  };
  await Promise.all(Array.from({ length: atOnce }, crew));
  const seconds = (performance.now() - start) / 1000;
  await store.close();
  rmSync(folder, { recursive: true, force: true });
  return Math.round(count / seconds);
}

for (const atOnce of [1, 8])
  console.log(`${await entriesASecond(atOnce)} entries a second acknowledged, ${atOnce} at once`);
const count = Number(process.argv[2] ?? 1000);
const writer = await buildWriter();
const result = await killWriters({ count, seed: 17, writer: writer.file });
writer.remove();
console.log(JSON.stringify(result));
process.exitCode = result.lost === 0 && result.ok ? 0 : 1;
