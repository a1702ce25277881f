import type { FastifyInstance, FastifyRequest } from 'fastify';
import type { ZodTypeProvider } from 'fastify-type-provider-zod';
import * as z from 'zod';
import { told } from '../../catalogue/index.ts';
import { readSealedEntry, type SealedEntry } from '../../log-book/index.ts';
import { type LogBook, sha256 } from '../../store/index.ts';
import type { Live } from './live.ts';
import { Refused, refusals, refused } from './problem-details.ts';

const LINES = 'application/x-ndjson';
const LARGEST_BODY = 8 * 2 ** 20;
const MOST_ENTRIES = 1_000;
/** The most problems that are listed; a file that is no part of a book has one for each line. */
const MOST_PROBLEMS = 20;

/**
 * Sealed entries that the log book has lost and a device has read. They are taken over as they were sealed, and only where
 * they follow what is there: nothing is replaced, and a book that went on differently refuses them. A plugin of its own:
 * here a body is lines of JSON, as a device hands them out and exports have them.
 */
export async function restoreRoute(app: FastifyInstance, { log, live }: { log: LogBook; live: Live }): Promise<void> {
  app.removeAllContentTypeParsers();
  app.addContentTypeParser(
    LINES,
    { parseAs: 'string', bodyLimit: LARGEST_BODY },
    async (_request: FastifyRequest, text: string) => text,
  );
  app.withTypeProvider<ZodTypeProvider>().post(
    '/entries/restore',
    {
      bodyLimit: LARGEST_BODY,
      schema: {
        operationId: 'restoreEntries',
        summary: 'Give sealed entries back to a log book that has lost them',
        description: `The canonical text of each on a line, in their order, ${MOST_ENTRIES} at most. All are taken over, or none; those that are there already are passed over. Each keeps the account and the times under which it was sealed, so it takes a manager.`,
        consumes: [LINES],
        body: z.unknown().meta({ type: 'string' }),
        response: {
          201: z
            .object({ added: z.number().int(), present: z.number().int() })
            .describe('how many were added, and how many were there'),
          ...refusals,
        },
      },
    },
    async ({ body }, reply) => {
      const entries = entriesIn(body);
      const { accepted, problems } = await log.takeOver(entries);
      if (!accepted) throw new Refused(problems);
      for (const [site, seq] of new Map(entries.map(({ site, seq }) => [site, seq]))) live.tell(site, seq);
      return reply.status(201).send(accepted);
    },
  );
}

/** The sealed entries in a body, each held against its own hash; refused with what is wrong. */
function entriesIn(body: unknown): SealedEntry[] {
  const lines = typeof body === 'string' ? body.split('\n').filter((line) => line !== '') : [];
  if (lines.length === 0) throw refused('bad-request', told('server.no-entry-in-it'), told('server.send-lines'));
  if (lines.length > MOST_ENTRIES)
    throw refused(
      'too-large',
      told('server.too-many-entries', { count: lines.length, most: MOST_ENTRIES }),
      told('server.send-in-parts'),
    );
  const read = lines.map((line) => readSealedEntry(line, sha256));
  const problems = read.flatMap((each) => each.problems);
  if (problems.length > 0) throw new Refused(problems.slice(0, MOST_PROBLEMS));
  return read.flatMap(({ sealed }) => sealed ?? []);
}
