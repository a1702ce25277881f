import { existsSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, test } from 'vitest';
import { runVerb } from '../../support/cli.ts';
import { type Served, serveBook } from '../../support/serve.ts';

const folder = mkdtempSync(join(tmpdir(), 'oilshed-first-manager-'));
const here = (name: string) => join(folder, name);
const started: Served[] = [];
afterAll(async () => {
  await Promise.all(started.map((each) => each.kill()));
  rmSync(folder, { recursive: true, force: true });
});

const NAME = 'M. Lund';
const PASSWORD = 'plates above the baffle';

function passwordFile(name: string, text: string): string {
  writeFileSync(here(name), text, { mode: 0o600 });
  return here(name);
}

async function serve(data: string, env: NodeJS.ProcessEnv): Promise<string> {
  const served = await serveBook(here(data), undefined, env);
  started.push(served);
  return served.address;
}

const signIn = async (address: string, password: string) => {
  const headers = { 'content-type': 'application/json' };
  const body = JSON.stringify({ name: NAME, password });
  return (await fetch(`${address}/api/session`, { method: 'POST', headers, body })).status;
};

const peopleOf = async (data: string) =>
  JSON.parse((await runVerb(['people', 'list', '--json', '--data', here(data)])).stdout).people.map(
    ({ name, role }: { name: string; role: string }) => `${name}, ${role}`,
  );

describe('OILSHED_MANAGER', () => {
  test('is added to a log book without people, with the first line of the file as password, and signs in', async () => {
    const env = {
      OILSHED_MANAGER: NAME,
      OILSHED_MANAGER_PASSWORD_FILE: passwordFile('right', `${PASSWORD}\r\nnot this line\n`),
    };
    const address = await serve('fresh', env);
    expect(await peopleOf('fresh')).toEqual([`${NAME}, manager`]);
    expect(await signIn(address, 'not this line')).toBe(401);
    expect((await fetch(`${address}/api/entries`)).status).toBe(401);
    expect(await signIn(address, PASSWORD)).toBeLessThan(300);
  });

  test('changes nothing in a log book that has people, even without its file', async () => {
    const other = 'R. Okafor';
    const words = ['people', 'add', other, '--role', 'manager', '--data', here('settled')];
    expect((await runVerb(words, { input: `${PASSWORD}\n` })).status).toBe(0);
    await serve('settled', { OILSHED_MANAGER: NAME, OILSHED_MANAGER_PASSWORD_FILE: here('gone') });
    expect(await peopleOf('settled')).toEqual([`${other}, manager`]);
  });

  test.each([
    ['no file is named', undefined, 2, /^oilshed: OILSHED_MANAGER takes OILSHED_MANAGER_PASSWORD_FILE, .*\n$/],
    ['the file is missing', here('none'), 1, /none: there is no such file; check the name\n$/],
    [
      'its first line is empty',
      passwordFile('empty', '\nsecond line\n'),
      1,
      /empty: its first line is empty; write .*\n$/,
    ],
    ['the password is weak', passwordFile('weak', 'short\n'), 1, /weak: M\. Lund: password: .*; take .*\n$/],
  ])('refuses in one line where %s, answers nobody and never says the password', async (_, file, status, line) => {
    const env = { OILSHED_MANAGER: NAME, OILSHED_MANAGER_PASSWORD_FILE: file };
    const refused = await runVerb(['serve', '--host', '0.0.0.0', '--data', here('refused')], { env });
    expect(refused).toMatchObject({ status, stdout: '' });
    expect(refused.stderr).toMatch(line);
    expect(refused.stderr.split('\n')).toHaveLength(2);
    expect(refused.stderr).not.toMatch(/short\b|second line/);
    if (existsSync(here('refused'))) expect(await peopleOf('refused')).toEqual([]);
  });
});
