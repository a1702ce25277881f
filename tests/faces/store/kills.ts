import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdirSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { fileURLToPath } from 'node:url';
import { build } from 'vite';
import { seededRandom } from '../../../src/algorithms/index.ts';
import { openLogStore } from '../../../src/faces/store/index.ts';
import type { SealedEntry } from '../../../src/log-book/index.ts';
import { idOf } from '../../log-book/made.ts';

/** The writer as one file that starts at once; it stands in node_modules so that it finds the packages. */
export async function buildWriter(): Promise<{ file: string; remove(): void }> {
  const cache = join('node_modules', '.cache');
  mkdirSync(cache, { recursive: true });
  const folder = mkdtempSync(join(cache, 'oilshed-writer-'));
  await build({
    configFile: false,
    logLevel: 'error',
    ssr: { noExternal: true, external: ['better-sqlite3', 'pg'] },
    build: { ssr: fileURLToPath(new URL('./writer.ts', import.meta.url)), outDir: folder, target: 'node20' },
  });
  return { file: join(folder, 'writer.js'), remove: () => rmSync(folder, { recursive: true, force: true }) };
}

export interface Kills {
  kills: number;
  /** Entries that the writer said were accepted, and how many of them are not in the book. */
  acknowledged: number;
  lost: number;
  /** Entries in the book; up to one a kill may be there without having been acknowledged. */
  entries: number;
  ok: boolean;
}

/** Each writer's entries have numbers of their own. */
const NUMBERS_EACH = 100_000;

/** Lets a writer write into one book and kills it (−9) at a random moment, again and again; then looks at what is there. */
export async function killWriters({
  count,
  seed,
  writer,
}: {
  count: number;
  seed: number;
  writer: string;
}): Promise<Kills> {
  const folder = mkdtempSync(join(tmpdir(), 'oilshed-kill-'));
  const random = seededRandom(seed);
  const said = new Map<string, string>();
  for (let kill = 0; kill < count; kill++) {
    const child = spawn(process.execPath, [writer, folder, String(kill * NUMBERS_EACH)], {
      stdio: ['ignore', 'pipe', 'inherit'],
    });
    for (const [n, hash] of await wordsUntilKilled(child, {
      lines: Math.floor(random.uniform() * 20),
      ms: random.uniform() * 10,
    }))
      said.set(idOf(n), hash);
  }
  const store = await openLogStore({ folder });
  const hashes = new Map<string, string>();
  for await (const page of store.pages())
    for (const { id, text } of page) hashes.set(id, (JSON.parse(text) as SealedEntry).hash);
  const { ok, entries } = await store.verify();
  await store.close();
  rmSync(folder, { recursive: true, force: true });
  const lost = [...said].filter(([id, hash]) => hashes.get(id) !== hash).length;
  return { kills: count, acknowledged: said.size, lost, entries, ok };
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
