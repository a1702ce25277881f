import { closeSync, fsyncSync, mkdtempSync, openSync, rmSync, statSync, writeSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { startPostgres } from '../../.scripts/postgres.ts';
import { writeLogFile } from '../../src/faces/cli/log-file.ts';
import { type SealedEntry, sealEntry } from '../../src/log-book/index.ts';
import { type LogStore, openLogStore, sha256 } from '../../src/store/index.ts';
import { madeEntry } from '../log-book/made.ts';
import { consumed, growthExponent } from './measure.ts';

const ENTRIES = 2000;
const SIZES = [10_000, 100_000, 1_000_000];
const BATCH = 5000;
const NEWEST = 50;
const CREWS = {
  '1': ['tarn-lane'],
  '8, one site': Array<string>(8).fill('tarn-lane'),
  '8, eight sites': Array.from({ length: 8 }, (_, n) => `yard-${n}`),
};

const secondsOf = async (work: () => unknown): Promise<number> => {
  const start = performance.now();
  await work();
  return (performance.now() - start) / 1000;
};
const figure = (value: number, digits = 0) => value.toFixed(digits).padStart(9);
const megabytes = (bytes: number) => Math.round(bytes / 2 ** 20);

/** How often a second this disk takes a line of an entry's length and says that it has it. */
async function syncsASecond(folder: string): Promise<number> {
  const handle = openSync(join(folder, 'lines'), 'a');
  const line = `${JSON.stringify(madeEntry(1))}\n`;
  const seconds = await secondsOf(() => {
    for (let n = 0; n < ENTRIES; n++) {
      writeSync(handle, line);
      fsyncSync(handle);
    }
  });
  closeSync(handle);
  return ENTRIES / seconds;
}

/** Entries that a store acknowledges in a second, sent by one crew at each of these sites at once. */
async function entriesASecond(
  place: { folder: string; databaseUrl?: string },
  sites: readonly string[],
): Promise<number> {
  const store = await openLogStore(place);
  const first = (await store.heads()).reduce((sum, { seq }) => sum + seq, 0);
  let next = first;
  const crew = async (site: string) => {
    while (next < first + ENTRIES) {
      const { accepted } = await store.add(madeEntry(++next, { site }));
      if (!accepted?.isNew) throw new Error('the entry was not taken');
      consumed.total += accepted.seq;
    }
  };
  const seconds = await secondsOf(() => Promise.all(sites.map(crew)));
  await store.close();
  return ENTRIES / seconds;
}

async function acknowledged(print: (line: string) => void, folder: string): Promise<void> {
  const syncs = await syncsASecond(folder);
  print(`lines written and synced one by one: ${Math.round(syncs)} a second`);
  print('store       crews at once  entries/s  ÷ synced lines');
  const rows = async (name: string, place: { folder: string; databaseUrl?: string }) => {
    for (const [words, sites] of Object.entries(CREWS)) {
      const rate = await entriesASecond(place, sites);
      print(`${name.padEnd(10)}  ${words.padEnd(13)}  ${figure(rate)}  ${(rate / syncs).toFixed(2)}`);
    }
  };
  await rows('SQLite', { folder: join(folder, 'sqlite') });
  const postgres = await startPostgres().catch((error: Error) => print(`PostgreSQL: skipped. ${error.message}`));
  if (!postgres) return;
  try {
    await rows('PostgreSQL', { folder: join(folder, 'postgres'), databaseUrl: postgres.url });
  } finally {
    postgres.stop();
  }
}

/** Makes a book longer, each entry sealed onto the one before as acceptance does. */
async function lengthen(store: LogStore, from: number, to: number): Promise<void> {
  let previous = (await store.heads())[0]?.hash ?? null;
  let batch: SealedEntry[] = [];
  for (let n = from + 1; n <= to; n++) {
    const seal = { seq: n, received: '2026-05-30T20:05:01.000Z', previous, account: null };
    const sealed = sealEntry(madeEntry(n), seal, sha256);
    previous = sealed.hash;
    batch.push(sealed);
    if (batch.length < BATCH && n < to) continue;
    const { problems } = await store.takeOver(batch);
    if (problems.length > 0) throw new Error(problems[0].code);
    batch = [];
  }
}

async function newestPage(store: LogStore): Promise<number> {
  let least = Number.POSITIVE_INFINITY;
  for (let time = 0; time < 30; time++) {
    const seconds = await secondsOf(async () => {
      for await (const page of store.pages({ site: 'tarn-lane', isNewestFirst: true, limit: NEWEST }))
        consumed.total += page.length;
    });
    least = Math.min(least, seconds);
  }
  return least;
}

async function growth(print: (line: string) => void, folder: string): Promise<void> {
  const store = await openLogStore({ folder });
  const file = join(folder, 'book.zip');
  const work: Record<string, () => Promise<unknown>> = {
    verify: async () => {
      const { ok, entries } = await store.verify();
      if (!ok) throw new Error('the book does not verify');
      consumed.total += entries;
    },
    export: () => writeLogFile(file, store, {}),
  };
  const points: Record<string, { size: number; ms: number }[]> = { newest: [], verify: [], export: [] };
  print(`entries   newest ${NEWEST}, ms  verify, s  export, s  book, MB  zip, MB  most memory, MB`);
  let before = 0;
  for (const size of SIZES) {
    await lengthen(store, before, size);
    before = size;
    const newest = await newestPage(store);
    points.newest.push({ size, ms: 1000 * newest });
    const seconds: number[] = [];
    for (const [name, each] of Object.entries(work)) {
      const time = await secondsOf(each);
      seconds.push(time);
      points[name].push({ size, ms: 1000 * time });
    }
    const sizes = [join(folder, 'log.sqlite'), file].map((path) => megabytes(statSync(path).size));
    const memory = megabytes(1024 * process.resourceUsage().maxRSS);
    print(
      `${String(size).padStart(7)}  ${figure(1000 * newest, 2)}  ${seconds.map((each) => figure(each, 1)).join('  ')}  ${[...sizes, memory].map((each) => figure(each)).join('')}`,
    );
  }
  await store.close();
  const exponents = Object.entries(points).map(([name, each]) => `${name} ${growthExponent(each).toFixed(2)}`);
  print(`time ∝ entries^e from ${SIZES[0]} to ${SIZES.at(-1)}, e: ${exponents.join(', ')}`);
}

/** Entries that are on the disk when they are acknowledged, in a second; a book of a million entries in SQLite. */
export async function run(print: (line: string) => void): Promise<void> {
  const folder = mkdtempSync(join(tmpdir(), 'oilshed-bench-'));
  try {
    await acknowledged(print, folder);
    await growth(print, join(folder, 'growth'));
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}
