import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdirSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { fileURLToPath } from 'node:url';
import { build } from 'vite';
import { seededRandom } from '../../src/algorithms/index.ts';
import type { SealedEntry } from '../../src/log-book/index.ts';
import { openLogStore } from '../../src/store/index.ts';
import { idOf } from '../log-book/made.ts';

/** The writer as one file that starts at once; it stands in node_modules so that it finds the packages. */
export async function buildWriter(): Promise<{ file: string; remove(): void }> {
  const cache = join('node_modules', '.cache');
  mkdirSync(cache, { recursive: true });
  const folder = mkdtempSync(join(cache, 'oilshed-writer-'));
  await build({
    configFile: false,
    logLevel: 'error',
    ssr: { noExternal: true, external: ['@photostructure/sqlite', 'pg', '@node-rs/argon2'] },
    build: { ssr: fileURLToPath(new URL('./writer.ts', import.meta.url)), outDir: folder, target: 'node20' },
  });
  return { file: join(folder, 'writer.js'), remove: () => rmSync(folder, { recursive: true, force: true }) };
}

export interface Kills {
  kills: number;
  /** Writers that fell over by themselves. */
  fell: number;
  /** Entries that the writer said were accepted, and how many of them are not in the book. */
  acknowledged: number;
  lost: number;
  /** Entries in the book; up to one a kill may be there without having been acknowledged. */
  entries: number;
  ok: boolean;
}

/** Each writer's entries have numbers of their own. */
const NUMBERS_EACH = 100_000;
const WRITERS_AT_ONCE = 4;

/**
 * Lets several writers at once write into one book and kills each (−9) at a random moment, again and again; then looks at
 * what is there. `afterKill` is called after each kill with how many there were.
 */
export async function killWriters({
  count,
  seed,
  writer,
  databaseUrl,
  afterKill = () => {},
}: {
  count: number;
  seed: number;
  writer: string;
  databaseUrl?: string;
  afterKill?: (kills: number) => void;
}): Promise<Kills> {
  const folder = mkdtempSync(join(tmpdir(), 'oilshed-kill-'));
  const random = seededRandom(seed);
  const moments = Array.from({ length: count }, () => ({
    lines: Math.floor(random.uniform() * 20),
    ms: random.uniform() * 10,
  }));
  const said = new Map<string, string>();
  let [next, kills, fell] = [0, 0, 0];
  const lane = async () => {
    while (next < count) {
      const number = next++;
      const words = [writer, folder, String(number * NUMBERS_EACH), ...(databaseUrl ? [databaseUrl] : [])];
      const child = spawn(process.execPath, words, { stdio: ['ignore', 'pipe', 'inherit'] });
      for (const [n, hash] of await wordsUntilKilled(child, moments[number])) said.set(idOf(n), hash);
      if (child.signalCode !== 'SIGKILL') fell++;
      afterKill(++kills);
    }
  };
  await Promise.all(Array.from({ length: WRITERS_AT_ONCE }, lane));
  const store = await openLogStore({ folder, databaseUrl });
  const hashes = new Map<string, string>();
  for await (const page of store.pages())
    for (const { id, text } of page) hashes.set(id, (JSON.parse(text) as SealedEntry).hash);
  const { ok, entries } = await store.verify();
  await store.close();
  rmSync(folder, { recursive: true, force: true });
  const lost = [...said].filter(([id, hash]) => hashes.get(id) !== hash).length;
  return { kills, fell, acknowledged: said.size, lost, entries, ok };
}

/** What a writer said in whole lines; it is killed so many ms after it said so many of them. */
async function wordsUntilKilled(
  child: ChildProcess,
  { lines, ms }: { lines: number; ms: number },
): Promise<[n: number, hash: string][]> {
  let text = '';
  const wordsOf = () => text.split('\n').slice(0, -1);
  const enough = new Promise<void>((resolve) => {
    child.stdout?.setEncoding('utf8').on('data', (part: string) => {
      text += part;
      if (wordsOf().length >= lines) resolve();
    });
  });
  const closed = once(child, 'close');
  await Promise.race([enough, closed]);
  await sleep(ms);
  child.kill('SIGKILL');
  await closed;
  return wordsOf()
    .map((line) => line.split(' '))
    .map(([n, hash]) => [Number(n), hash]);
}
