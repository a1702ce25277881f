import type { Role } from '../../../store/index.ts';
import { output } from '../input.ts';
import { withLogStore } from '../log-place.ts';
import { heading, left, safe, table } from '../print.ts';
import { say } from '../voice.ts';
import { acceptedOf, type PeopleFlags, roleName, roleWord } from './people.ts';

/** `oilshed people token add PERSON NAME --role ROLE`: a token for a program, shown this once. */
export async function add(
  person: string,
  name: string,
  { role, data, json }: PeopleFlags & { role: string },
): Promise<number> {
  const wanted: Role = roleWord(role);
  return withLogStore({ data, mustExist: true }, async ({ people }) => {
    const made = acceptedOf(await people.makeToken({ person, name, role: wanted }), data);
    output(json, made, () =>
      [
        heading(say('cli.token-made', { person: made.person, name: made.name, role: roleName(made.role) })),
        made.token,
        say('cli.token-use'),
      ].join('\n'),
    );
    return 0;
  });
}

/** `oilshed people token list [PERSON]`: which tokens there are; their texts are with their owners alone. */
export async function list(person: string | undefined, { data, json }: PeopleFlags): Promise<number> {
  return withLogStore({ data, purpose: 'read' }, async ({ people }) => {
    const tokens = await people.tokens(person);
    output(json, { tokens }, () => {
      if (tokens.length === 0) return heading(say('cli.token-none'));
      const columns = (['cli.column-person', 'cli.column-name', 'cli.column-role', 'cli.column-made'] as const).map(
        left,
      );
      const rows = tokens.map((token) => [token.person, token.name, roleName(token.role), token.made]);
      return [heading(say('cli.token-count', { tokens: tokens.length })), '', table(columns, rows)].join('\n');
    });
    return 0;
  });
}

/** `oilshed people token remove PERSON NAME`: nothing comes in with that token any more. */
export async function remove(person: string, name: string, { data, json }: PeopleFlags): Promise<number> {
  return withLogStore({ data, mustExist: true }, async ({ people }) => {
    const ended = acceptedOf(await people.endToken({ person, name }), data);
    output(json, ended, () => safe(say('cli.token-ended', { name: ended.name, person: ended.person })));
    return 0;
  });
}
