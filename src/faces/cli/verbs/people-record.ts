import { type PeopleEvent, readPeopleEvent } from '../../../log-book/index.ts';
import { InputError, numberWord, outputAsKept } from '../input.ts';
import { logPlace, lostWords, withLogStore } from '../log-place.ts';
import { fileLine, heading, left, table } from '../print.ts';
import { say } from '../voice.ts';
import { roleName } from './people.ts';

interface RecordFlags {
  data?: string;
  json?: boolean;
  after?: string;
  limit?: string;
}

/** `oilshed log list --people`: who was added, removed or changed, by whom and when, and how many sign-ins were refused. */
export async function listPeopleRecord({ data, json, after = '0', limit }: RecordFlags): Promise<number> {
  const first = numberWord('--after', after, { atLeast: 0 });
  const most = limit === undefined ? Number.POSITIVE_INFINITY : numberWord('--limit', limit, { atLeast: 0 });
  return withLogStore({ data, purpose: 'read' }, async ({ people: { record } }) => {
    const texts = (await record.texts()).filter(({ seq }) => seq > first).slice(0, most);
    const events = texts.map(({ seq, text }) => readPeopleEvent(text) ?? unreadable(logPlace(data).folder, seq));
    const refusedLately = await record.refusedLately();
    outputAsKept(json, { events, refusedLately }, () => {
      const columns = (['cli.column-number', 'cli.column-time', 'cli.column-by', 'cli.column-what'] as const).map(left);
      const rows = events.map((event) => [
        String(event.seq),
        event.at,
        event.account ?? say('cli.this-machine'),
        eventWords(event),
      ]);
      return [
        heading(say('cli.events-count', { events: events.length })),
        ...(rows.length > 0 ? ['', table(columns, rows)] : []),
        ...(refusedLately > 0 ? ['', say('cli.events-refused-lately', { count: refusedLately })] : []),
      ].join('\n');
    });
    return 0;
  });
}

function unreadable(folder: string, seq: number): never {
  throw new InputError([fileLine(folder, say('cli-errors.event-unreadable', { seq: String(seq) }))]);
}

function eventWords(event: PeopleEvent): string {
  switch (event.event) {
    case 'begun':
      return say('cli.event-begun', {
        people: event.people
          .map(({ name, role }) => say('cli.event-begun-person', { name, role: roleName(role) }))
          .join(', '),
      });
    case 'added':
      return say('cli.event-added', { name: event.name, role: roleName(event.role) });
    case 'removed':
      return say('cli.event-removed', { name: event.name, role: roleName(event.role) });
    case 'role-changed':
      return say('cli.event-role', {
        name: event.name,
        role: roleName(event.role),
        before: roleName(event.before),
      });
    case 'password-changed':
      return say('cli.event-password', { name: event.name });
    case 'token-made':
      return say('cli.event-token-made', { name: event.name, token: event.token, role: roleName(event.role) });
    case 'token-ended':
      return say('cli.event-token-ended', { name: event.name, token: event.token });
    case 'older-copy-accepted':
      return event.lost.length > 0
        ? say('cli.event-accepted', { entries: lostWords(event.lost) })
        : say('cli.event-accepted-unread');
    case 'sign-ins-refused': {
      const { hour, count, people } = event;
      if (people.length === 0) return say('cli.event-refused', { hour, count });
      const known = people.map((each) => say('cli.event-refused-of', each));
      return say('cli.event-refused-known', { hour, count, known: known.join(', ') });
    }
  }
}
