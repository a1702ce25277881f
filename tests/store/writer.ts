import { setTimeout as sleep } from 'node:timers/promises';
import { openLogStore, StoreFault } from '../../src/store/index.ts';
import { madeEntry, madePhoto } from '../log-book/made.ts';

/** Should nobody kill it, it stops by itself. */
const LONGEST_MS = 60_000;
const start = Date.now();
const isInTime = () => Date.now() - start < LONGEST_MS;

/** As whoever has something to write down does: while the book cannot be reached, again and again. */
async function stubbornly<T>(work: () => Promise<T>): Promise<T> {
  for (;;) {
    try {
      return await work();
    } catch (error) {
      if (!(error instanceof StoreFault) || !isInTime()) throw error;
      await sleep(50);
    }
  }
}

// Adds entries, every tenth with a photo, until it is killed, and says each one's number once it was accepted: folder, first number, database.
const [folder, first, databaseUrl] = process.argv.slice(2);
const store = await stubbornly(() => openLogStore({ folder, databaseUrl }));
for (let n = Number(first); isInTime(); n++) {
  const photos = n % 10 === 0 ? [store.photos.save(madePhoto(n))] : [];
  const { accepted } = await stubbornly(() => store.add(madeEntry(n, { photos })));
  process.stdout.write(`${n} ${accepted?.hash}\n`);
}
await store.close();
