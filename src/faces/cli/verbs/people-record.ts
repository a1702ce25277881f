import { type PeopleEvent, readPeopleEvent } from '../../../log-book/index.ts';
import { THIS_MACHINE } from '../../../store/index.ts';
import { InputError, numberWord, outputAsKept } from '../input.ts';
import { logPlace, lostWords, withLogStore } from '../log-place.ts';
import { heading, safe, table } from '../print.ts';
import { say } from '../voice.ts';

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
      const columns = ['NO', 'AT', 'BY', 'WHAT'].map((title) => ({ title }));
      const rows = events.map((event) => [
        String(event.seq),
        event.at,
        event.account ?? THIS_MACHINE,
        eventWords(event),
      ]);
      return [
        heading(`${events.length} ${events.length === 1 ? 'event' : 'events'}.`),
        ...(rows.length > 0 ? ['', table(columns, rows)] : []),
        ...(refusedLately > 0 ? ['', `Since then ${signIns(refusedLately)} refused, not in the record yet.`] : []),
      ].join('\n');
    });
    return 0;
  });
}

function unreadable(folder: string, seq: number): never {
  throw new InputError([
    `${safe(folder)}: event ${seq} of the record of people cannot be read any more; see what else was changed with oilshed log verify`,
  ]);
}

const signIns = (count: number) => (count === 1 ? 'one sign-in was' : `${count} sign-ins were`);

function eventWords(event: PeopleEvent): string {
  switch (event.event) {
    case 'begun':
      return `The record begins. There were: ${event.people.map(({ name, role }) => `${name} (${role})`).join(', ')}`;
    case 'added':
      return `${event.name} may sign in, as ${event.role}`;
    case 'removed':
      return `${event.name} (${event.role}) may not sign in any more`;
    case 'role-changed':
      return `${event.name} is ${event.role} now, was ${event.before}`;
    case 'password-changed':
      return `${event.name} has a new password`;
    case 'token-made':
      return `${event.name} has a token "${event.token}", as ${event.role}`;
    case 'token-ended':
      return `The token "${event.token}" of ${event.name} ended`;
    case 'older-copy-accepted':
      return event.lost.length > 0
        ? say('cli.event-accepted', { entries: lostWords(event.lost) })
        : say('cli.event-accepted-unread');
    case 'sign-ins-refused': {
      const known = event.people.map(({ name, count }) => `${count} of ${name}`);
      return `In the hour from ${event.hour} ${signIns(event.count)} refused${known.length > 0 ? `, ${known.join(', ')}` : ''}`;
    }
  }
}
