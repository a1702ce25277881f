import { createInterface } from 'node:readline';
import { Writable } from 'node:stream';
import { type Answer, ROLES, type Role } from '../../../store/index.ts';
import { InputError, oneOf, output, throwErrors } from '../input.ts';
import { logPlace, withLogStore } from '../log-place.ts';
import { heading, left, safe, table } from '../print.ts';
import { say } from '../voice.ts';
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
        safe(say('cli.people-added', { name: person.name, role: roleName(person.role) })),
        ...(hasManager ? [] : [say('cli.people-no-manager')]),
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
      if (people.length === 0) return heading(say('cli.people-nobody'));
      const columns = (['cli.column-name', 'cli.column-role', 'cli.column-added'] as const).map(left);
      const rows = people.map(({ name, role, added }) => [name, roleName(role), added]);
      return [heading(say('cli.people-count', { people: people.length })), '', table(columns, rows)].join('\n');
    });
    return 0;
  });
}

/** `oilshed people remove NAME`: takes somebody out; ends their sessions, tokens and calendar keys. What they wrote stays. */
export async function remove(name: string, { data, json }: PeopleFlags): Promise<number> {
  return withLogStore({ data, mustExist: true }, async ({ people }) => {
    const person = acceptedOf(await people.remove(name), data);
    output(json, person, () => safe(say('cli.people-removed', { name: person.name })));
    return 0;
  });
}

/** `oilshed people role NAME --role ROLE`: gives somebody another role, at once where they are signed in. */
export async function role(name: string, { role: word, data, json }: PeopleFlags & { role: string }): Promise<number> {
  const wanted = roleWord(word);
  return withLogStore({ data, mustExist: true }, async ({ people }) => {
    const person = acceptedOf(await people.setRole(name, wanted), data);
    output(json, person, () =>
      safe(
        person.role === person.before
          ? say('cli.people-role-same', { name: person.name, role: roleName(person.role) })
          : say('cli.people-role-changed', {
              name: person.name,
              role: roleName(person.role),
              before: roleName(person.before),
            }),
      ),
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
      [safe(say('cli.people-password', { name: person.name })), say('cli.people-calendars')].join('\n'),
    );
    return 0;
  });
}

export const roleWord = (word: string): Role => oneOf('--role', word, ROLES);

/** A role as people call it. */
export const roleName = (role: string) => say('account.role', { role });

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
    throw new InputError([say('cli-errors.password-none')]);
  }
  const first = await askHidden(say('cli.password-ask'));
  if ((await askHidden(say('cli.password-again'))) === first) return first;
  throw new InputError([say('cli-errors.password-differs')]);
}

/** A line typed at the terminal, which shows the question alone. */
function askHidden(question: string): Promise<string> {
  world().writeError(`${question} `);
  const nowhere = new Writable({ write: (_part, _encoding, done) => done() });
  const lines = createInterface({ input: world().input(), output: nowhere, terminal: true });
  return new Promise<string>((resolve, reject) => {
    lines.once('line', resolve);
    lines.once('SIGINT', () => lines.close());
    lines.once('close', () => reject(new InputError([say('cli-errors.password-not-given')])));
  }).finally(() => {
    lines.close();
    world().writeError('\n');
  });
}
