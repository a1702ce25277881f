import { write } from './outbox.ts';
import { problemsIn, said } from './replies.ts';
import { request } from './request.ts';
import { say } from './voice.ts';
import type { OpenYard } from './yard.ts';

/** Puts a map into the log book, and an entry that says so. What went wrong in words; null where nothing did. */
export async function keepMap(open: OpenYard, by: string): Promise<string | null> {
  const reply = await request('api/maps', {
    method: 'POST',
    headers: { 'content-type': 'application/geo+json' },
    body: open.mapText,
  });
  const kept = reply.status === 201 ? await said(({ keptMap }) => keptMap, reply) : undefined;
  if (!kept) {
    const [problem] = (await problemsIn(reply)) ?? [];
    return problem
      ? say('state.problem-with-cure', { message: problem.message, cure: problem.cure })
      : say('state.map-book-silent');
  }
  const { isSafe } = await write(open, { kind: 'map', body: { sha256: kept.sha256, name: open.fileName }, by });
  return isSafe ? null : say('state.map-entry-lost');
}
