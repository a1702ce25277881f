import type { Role } from '../../../store/index.ts';
import { output } from '../input.ts';
import { withLogStore } from '../log-place.ts';
import { heading, safe, table } from '../print.ts';
import { acceptedOf, type PeopleFlags, roleWord } from './people.ts';

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
        heading(`A token for ${made.person}, "${made.name}", as ${made.role}. It is shown this once:`),
        made.token,
        'Programs send it as "Authorization: Bearer …".',
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
      if (tokens.length === 0) return heading('There are no tokens.');
      const columns = ['PERSON', 'NAME', 'ROLE', 'MADE'].map((title) => ({ title }));
      const rows = tokens.map((token) => [token.person, token.name, token.role, token.made]);
      return [heading(`${tokens.length} ${tokens.length === 1 ? 'token' : 'tokens'}.`), '', table(columns, rows)].join(
        '\n',
      );
    });
    return 0;
  });
}

/** `oilshed people token remove PERSON NAME`: nothing comes in with that token any more. */
export async function remove(person: string, name: string, { data, json }: PeopleFlags): Promise<number> {
  return withLogStore({ data, mustExist: true }, async ({ people }) => {
    const ended = acceptedOf(await people.endToken({ person, name }), data);
    output(json, ended, () => `The token "${safe(ended.name)}" of ${safe(ended.person)} ended.`);
    return 0;
  });
}
