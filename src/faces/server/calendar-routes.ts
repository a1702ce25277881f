import { timingSafeEqual } from 'node:crypto';
import type { FastifyInstance, FastifyRequest } from 'fastify';
import type { ZodTypeProvider } from 'fastify-type-provider-zod';
import * as z from 'zod';
import type { LogBook, People } from '../store/index.ts';
import { calendars } from './calendar.ts';
import { refusals } from './problem-details.ts';

const CALENDAR = '/api/calendar.ics';

export function calendarRoutes(app: FastifyInstance, log: LogBook): void {
  const routes = app.withTypeProvider<ZodTypeProvider>();
  const calendarOf = calendars(log);
  routes.get(
    '/calendar.ics',
    {
      schema: {
        summary: 'Visits that are due, and corrective work that is not closed, as a calendar (RFC 5545)',
        querystring: z.object({
          site: z.string(),
          key: z.string().optional().describe('that of calendar-address, for programs that cannot sign in'),
        }),
        response: {
          200: { description: 'The calendar', content: { 'text/calendar': { schema: z.string() } } },
          ...refusals,
        },
      },
    },
    async ({ query: { site } }, reply) =>
      reply.type('text/calendar; charset=utf-8').send((await calendarOf(site)) as never),
  );
  routes.get(
    '/calendar-address',
    {
      schema: {
        summary: 'Where a calendar program, which cannot sign in, reads the calendar of one site and nothing else',
        querystring: z.object({ site: z.string() }),
        response: { 200: z.object({ path: z.string() }), ...refusals },
      },
    },
    async ({ query: { site } }) => ({
      path: `${CALENDAR}?${new URLSearchParams({ site, key: await keyOf(log.people, site) })}`,
    }),
  );
}

const keyOf = (people: People, site: string) => people.keyFor(`calendar ${site}`);

/** Whether a request asks for the calendar of a site with the key to that. */
export async function hasCalendarKey(people: People, { routeOptions, query }: FastifyRequest): Promise<boolean> {
  const { site, key } = query as Record<string, unknown>;
  if (routeOptions.url !== CALENDAR || typeof site !== 'string' || typeof key !== 'string') return false;
  const [given, right] = [Buffer.from(key), Buffer.from(await keyOf(people, site))];
  return given.length === right.length && timingSafeEqual(given, right);
}
