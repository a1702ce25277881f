import { createInterface } from 'node:readline';
import { Writable } from 'node:stream';
import { type Answer, ROLES, type Role } from '../../../store/index.ts';
import { InputError, output, throwErrors, UsageError } from '../input.ts';
import { logPlace, withLogStore } from '../log-place.ts';
import { heading, safe, table } from '../print.ts';
import { world } from '../world.ts';

export interface PeopleFlags {
  data?: string;
  json?: boolean;
}

/** `oilshed people add NAME --role ROLE`: lets somebody sign in. */
export async function add(name: string, { role: word, data, json }: PeopleFlags & { role: string }): Promise<number> {
  const role = roleWord(word);
  const password = await readPassword();
  return withLogStore({ data, mustExist: false }, async ({ people }) => {
    const person = acceptedOf(await people.add({ name, role, password }), data);
    const hasManager = await people.hasManager();
    output(json, person, () =>
      [
        `${safe(person.name)} may sign in, as ${person.role}.`,
        ...(hasManager ? [] : ['There is no manager yet: add one with --role manager.']),
      ].join('\n'),
    );
    return 0;
  });
}

/** `oilshed people list`: who may sign in? */
export async function list({ data, json }: PeopleFlags): Promise<number> {
  return withLogStore({ data, purpose: 'read' }, async (log) => {
    const people = await log.people.list();
    output(json, { people }, () => {
      if (people.length === 0) return heading('Nobody signs in: the log book is for this machine alone.');
      const columns = ['NAME', 'ROLE', 'ADDED'].map((title) => ({ title }));
      const rows = people.map(({ name, role, added }) => [name, role, added]);
      return [heading(`${people.length} may sign in.`), '', table(columns, rows)].join('\n');
    });
    return 0;
  });
}

/** `oilshed people remove NAME`: takes somebody out; ends their sessions, tokens and calendar keys. What they wrote stays. */
export async function remove(name: string, { data, json }: PeopleFlags): Promise<number> {
  return withLogStore({ data, mustExist: true }, async ({ people }) => {
    const person = acceptedOf(await people.remove(name), data);
    output(json, person, () => `${safe(person.name)} may not sign in any more. What they wrote stays.`);
    return 0;
  });
}

/** `oilshed people role NAME --role ROLE`: gives somebody another role, at once where they are signed in. */
export async function role(name: string, { role: word, data, json }: PeopleFlags & { role: string }): Promise<number> {
  const wanted = roleWord(word);
  return withLogStore({ data, mustExist: true }, async ({ people }) => {
    const person = acceptedOf(await people.setRole(name, wanted), data);
    output(json, person, () =>
      person.role === person.before
        ? `${safe(person.name)} is ${person.role} already.`
        : `${safe(person.name)} is ${person.role} now, was ${person.before}.`,
    );
    return 0;
  });
}

/** `oilshed people password NAME`: gives somebody another password; ends their sessions, tokens and calendar keys. */
export async function password(name: string, { data, json }: PeopleFlags): Promise<number> {
  const fresh = await readPassword();
  return withLogStore({ data, mustExist: true }, async ({ people }) => {
    const person = acceptedOf(await people.setPassword(name, fresh), data);
    output(json, person, () =>
      [
        `${safe(person.name)} has a new password, and is signed out everywhere; their tokens ended.`,
        'Calendars that they follow need their address anew.',
      ].join('\n'),
    );
    return 0;
  });
}

export function roleWord(word: string): Role {
  const role = ROLES.find((each) => each === word);
  if (role) return role;
  throw new UsageError(`--role is ${JSON.stringify(word)}; write one of ${ROLES.join(', ')}`);
}

export function acceptedOf<T extends object>({ accepted, problems }: Answer<T>, data: string | undefined): T {
  throwErrors(logPlace(data).folder, problems);
  if (accepted === null) throw new Error('nothing was accepted, and no problem told');
  return accepted;
}

/** The password typed twice at a terminal, not shown; elsewhere the first line of standard input. */
async function readPassword(): Promise<string> {
  const input = world().input();
  if (!input.isTTY) {
    for await (const line of createInterface({ input })) return line;
    throw new InputError(['password: standard input has none; write it as its first line']);
  }
  const first = await askHidden('Password: ');
  if ((await askHidden('The same again: ')) === first) return first;
  throw new InputError(['password: the two were not the same; try again']);
}

/** A line typed at the terminal, which shows the question alone. */
function askHidden(question: string): Promise<string> {
  world().writeError(question);
  const nowhere = new Writable({ write: (_part, _encoding, done) => done() });
  const lines = createInterface({ input: world().input(), output: nowhere, terminal: true });
  return new Promise<string>((resolve, reject) => {
    lines.once('line', resolve);
    lines.once('SIGINT', () => lines.close());
    lines.once('close', () => reject(new InputError(['password: none was given; nothing was changed'])));
  }).finally(() => {
    lines.close();
    world().writeError('\n');
  });
}
