import type { Problem } from '../../../site-map/index.ts';
import { write } from './outbox.ts';
import { request } from './request.ts';
import type { OpenYard } from './yard.ts';

/** Puts a map into the log book, and an entry that says so. What went wrong in words; null where nothing did. */
export async function keepMap(open: OpenYard, by: string): Promise<string | null> {
  const { status, body } = await request('api/maps', {
    method: 'POST',
    headers: { 'content-type': 'application/geo+json' },
    body: open.mapText,
  });
  if (status !== 201) {
    const [problem] = (body as { problems?: Problem[] } | null)?.problems ?? [];
    return problem ? `${problem.message}; ${problem.cure}.` : 'The log book does not answer; try again later.';
  }
  const { sha256 } = body as { sha256: string };
  const { isSafe } = await write(open, { kind: 'map', body: { sha256, name: open.fileName }, by });
  return isSafe ? null : 'The map is in the log book, but not the entry that says so; try again later.';
}
