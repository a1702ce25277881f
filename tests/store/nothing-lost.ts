import { expect } from 'vitest';
import { startPostgres } from '../../.scripts/postgres.ts';
import { buildWriter, killWriters } from './kills.ts';

/** The writer, and a PostgreSQL of its own that may be crashed (null where there is none), for the tests of a file. */
export async function startKilling() {
  const postgres = await startPostgres().catch((error: Error) => {
    console.warn(error.message);
    return null;
  });
  const writer = await buildWriter();
  return {
    writer: writer.file,
    postgres,
    stop() {
      writer.remove();
      postgres?.stop();
    },
  };
}

/** Kills writers and holds what is left against what was acknowledged. */
export async function expectNothingLost(options: Parameters<typeof killWriters>[0]): Promise<void> {
  const { kills, fell, acknowledged, lost, entries, ok } = await killWriters(options);
  expect(acknowledged).toBeGreaterThan(3 * kills);
  expect({ fell, lost, ok }).toEqual({ fell: 0, lost: 0, ok: true });
  expect(entries - acknowledged).toBeGreaterThanOrEqual(0);
  expect(entries - acknowledged).toBeLessThanOrEqual(kills);
}

/** The same in PostgreSQL, which is crashed under the hands of the writers after every eighth kill. */
export async function expectNothingLostInPostgres(
  { crash, url }: { crash(): void; url: string },
  options: { count: number; writer: string },
): Promise<void> {
  let crashes = 0;
  const afterKill = (kills: number) => {
    if (kills % 8 !== 0) return;
    crash();
    crashes++;
  };
  await expectNothingLost({ seed: 7, databaseUrl: url, afterKill, ...options });
  expect(crashes).toBe(Math.floor(options.count / 8));
}
