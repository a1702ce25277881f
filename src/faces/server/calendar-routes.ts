import { timingSafeEqual } from 'node:crypto';
import type { FastifyInstance, FastifyRequest } from 'fastify';
import type { ZodTypeProvider } from 'fastify-type-provider-zod';
import * as z from 'zod';
import { LANGUAGES } from '../../catalogue/index.ts';
import type { LogBook, People } from '../../store/index.ts';
import { calendars } from './calendar.ts';
import { refusals } from './problem-details.ts';
import { sendRaw } from './raw-reply.ts';
import type { WorkerPool } from './worker-pool.ts';

export const CALENDAR = '/api/calendar.ics';

export function calendarRoutes(app: FastifyInstance, log: LogBook, pool: WorkerPool): void {
  const routes = app.withTypeProvider<ZodTypeProvider>();
  const calendarOf = calendars(log, pool);
  routes.get(
    '/calendar.ics',
    {
      schema: {
        operationId: 'getCalendar',
        summary: 'Visits that are due, and corrective work that is not closed, as a calendar (RFC 5545)',
        querystring: z.object({
          site: z.string(),
          name: z.string().optional().describe('whose key it is'),
          key: z.string().optional().describe('that of calendar-address, for programs that cannot sign in'),
          lang: z.enum(LANGUAGES).optional().describe('the language; left out, that of the site, by its map'),
        }),
        response: {
          200: { description: 'The calendar', content: { 'text/calendar': { schema: z.string() } } },
          ...refusals,
        },
      },
    },
    async ({ query: { site, lang } }, reply) =>
      sendRaw(reply, 'text/calendar; charset=utf-8', await calendarOf(site, lang)),
  );
  routes.get(
    '/calendar-address',
    {
      schema: {
        operationId: 'getCalendarAddress',
        summary: 'Where a calendar program, which cannot sign in, reads the calendar of one site and nothing else',
        description:
          'Where people sign in, with a key of who asks. It holds until that person gets a new password or may not sign ' +
          'in any more.',
        querystring: z.object({ site: z.string() }),
        response: { 200: z.object({ path: z.string() }), ...refusals },
      },
    },
    async ({ query: { site }, person }) => {
      const name = person?.name ?? '';
      const key = await keyOf(log.people, name, site);
      return { path: `${CALENDAR}?${new URLSearchParams(key === null ? { site } : { site, name, key })}` };
    },
  );
}

const keyOf = (people: People, name: string, site: string) => people.keyFor(name, `calendar ${site}`);

const keyedQuery = z.object({ site: z.string(), name: z.string(), key: z.string() });

/** Whether a request asks for the calendar of a site with somebody's key to that. */
export async function hasCalendarKey(people: People, { routeOptions, query }: FastifyRequest): Promise<boolean> {
  const asked = keyedQuery.safeParse(query).data;
  if (routeOptions.url !== CALENDAR || !asked) return false;
  const { site, name, key } = asked;
  const [given, right] = [Buffer.from(key), Buffer.from((await keyOf(people, name, site)) ?? '')];
  return right.length > 0 && given.length === right.length && timingSafeEqual(given, right);
}
