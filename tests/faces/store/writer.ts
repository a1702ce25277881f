import { openLogStore } from '../../../src/faces/store/index.ts';
import { madeEntry, madePhoto } from '../../log-book/made.ts';

/** Should nobody kill it, it stops by itself. */
const LONGEST_MS = 60_000;

// Adds entries, every tenth with a photo, until it is killed, and says each one's number once it was accepted: folder, first number, database.
const [folder, first, databaseUrl] = process.argv.slice(2);
const store = await openLogStore({ folder, databaseUrl });
const start = Date.now();
for (let n = Number(first); Date.now() - start < LONGEST_MS; n++) {
  const photos = n % 10 === 0 ? [store.photos.save(madePhoto(n))] : [];
  const { accepted } = await store.add(madeEntry(n, { photos }));
  process.stdout.write(`${n} ${accepted?.hash}\n`);
}
await store.close();
