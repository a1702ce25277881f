import { cpSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { strFromU8, strToU8, unzipSync, zipSync } from 'fflate';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { runVerb } from '../../support/cli.ts';

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'oilshed-people-cli-'));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

function run(words: readonly string[], input = '') {
  const place = words.includes('--data') ? [] : ['--data', 'yard'];
  return runVerb([...words, ...place], { cwd: folder, input });
}
const add = (name: string, role: string, password: string) =>
  run(['people', 'add', name, '--role', role], `${password}\n`);
const objectOf = async (...words: string[]) => JSON.parse((await run([...words, '--json'])).stdout);

describe('oilshed people', () => {
  test('refuses passwords that are short, common or soon guessed, and says none of them again', async () => {
    for (const [password, words] of [
      ['elevenchars', 'yard: M. Lund: password: it has 11 characters; take one of 12 to 200 characters'],
      ['1q2w3e4r5t6y', 'it is one of the commonest passwords; take a longer one, such as four words'],
      ['aaaaaaaaaaaaaaaa', 'it is soon guessed; take a longer one'],
    ]) {
      const { status, stdout, stderr } = await add('M. Lund', 'manager', password);
      expect([status, stdout]).toEqual([1, '']);
      expect(stderr).toContain(words);
      expect(stderr).not.toContain(password);
    }
    expect((await objectOf('people', 'list')).people).toEqual([]);
  });

  test('gives roles and tokens, and the record says all of it', async () => {
    expect((await add('M. Lund', 'manager', 'seven lids deep')).status).toBe(0);
    expect((await add('J. Ortega', 'crew', 'oil floats on top')).status).toBe(0);
    expect((await run(['people', 'role', 'j. ortega', '--role', 'manager'])).stdout).toBe(
      'J. Ortega is manager now, was crew.\n',
    );
    expect((await run(['people', 'role', 'J. Ortega', '--role', 'manager'])).stdout).toBe(
      'J. Ortega is manager already.\n',
    );
    expect(await objectOf('people', 'role', 'J. Ortega', '--role', 'crew')).toEqual({
      name: 'J. Ortega',
      role: 'crew',
      before: 'manager',
    });
    expect(await run(['people', 'role', 'M. Lund', '--role', 'crew'])).toMatchObject({
      status: 1,
      stderr: expect.stringContaining('there is no other manager'),
    });
    expect((await run(['people', 'role', 'M. Lund', '--role', 'boss'])).status).toBe(2);
    expect(await run(['people', 'token', 'add', 'J. Ortega', 'rain gauge', '--role', 'manager'])).toMatchObject({
      status: 1,
      stderr: expect.stringContaining('manager is more than J. Ortega may do; write crew or less'),
    });
    const made = (await run(['people', 'token', 'add', 'J. Ortega', 'rain gauge', '--role', 'crew'])).stdout;
    const [token] = /oilshed_[0-9a-f]{64}/.exec(made) ?? [];
    expect(made).toContain('It is shown this once');
    const listed = (await run(['people', 'token', 'list'])).stdout;
    expect(listed).toMatch(/J\. Ortega +rain gauge +crew/);
    expect((await objectOf('people', 'token', 'list', 'J. Ortega')).tokens).toMatchObject([
      { name: 'rain gauge', role: 'crew' },
    ]);
    expect((await run(['people', 'token', 'remove', 'J. Ortega', 'rain gauge'])).status).toBe(0);
    expect((await run(['people', 'token', 'remove', 'J. Ortega', 'rain gauge'])).stderr).toContain(
      'has no token with this name',
    );
    const { events, refusedLately } = await objectOf('log', 'list', '--people');
    expect(events.map(({ event }: { event: string }) => event)).toEqual([
      'added',
      'added',
      'role-changed',
      'role-changed',
      'token-made',
      'token-ended',
    ]);
    expect(refusedLately).toBe(0);
    const record = (await run(['log', 'list', '--people', '--after', '2', '--limit', '1'])).stdout;
    expect(record).toMatch(
      /^1 event\.\n\n +NO +AT +BY +WHAT\n +3 +\S+ +this machine +J\. Ortega is manager now, was crew\n$/,
    );
    for (const secret of [String(token).slice(8), 'seven lids', 'argon2'])
      expect(JSON.stringify(events) + listed).not.toContain(secret);
    expect((await run(['log', 'list', '--people', '--site', 'tarn-lane'])).status).toBe(2);
    expect(await objectOf('log', 'verify')).toMatchObject({ ok: true, people: 6 });
  });

  test('goes with an export; into a log book that let in people of its own the entries come without it', async () => {
    await add('M. Lund', 'manager', 'seven lids deep');
    await add('J. Ortega', 'crew', 'oil floats on top');
    const exported = await run(['log', 'export', '--out', 'yard.zip']);
    expect(exported).toMatchObject({ status: 0, stdout: expect.stringContaining('2 events of people') });
    const zip = unzipSync(readFileSync(join(folder, 'yard.zip')));
    const lines = strFromU8(zip['people.jsonl']).trimEnd().split('\n');
    expect(lines.map((line) => JSON.parse(line).name)).toEqual(['M. Lund', 'J. Ortega']);
    expect(await objectOf('log', 'import', 'yard.zip', '--data', 'copy')).toMatchObject({ people: 2, problems: [] });
    expect((await objectOf('log', 'list', '--people', '--data', 'copy')).events).toHaveLength(2);
    expect(await objectOf('log', 'verify', '--data', 'copy')).toMatchObject({ ok: true, people: 2 });
    await run(['people', 'add', 'A. Vale', '--role', 'manager', '--data', 'other'], 'only looking at it\n');
    expect(await objectOf('log', 'import', 'yard.zip', '--data', 'other')).toMatchObject({
      people: 0,
      problems: [{ code: 'record-left-out', severity: 'note' }],
    });
    for (const [name, change] of [
      ['name', lines[1].replace('J. Ortega', 'X. Ortega')],
      ['cut', ''],
    ]) {
      const text = strToU8(`${[lines[0], change].filter((line) => line !== '').join('\n')}\n`);
      writeFileSync(join(folder, `${name}.zip`), zipSync({ ...zip, 'people.jsonl': text }));
      const refused = await run(['log', 'import', `${name}.zip`, '--data', 'none']);
      expect([refused.status, refused.stdout], name).toEqual([1, '']);
      expect(refused.stderr).toMatch(/record of people|events of people/);
    }
    await run(['log', 'export', '--out', 'one.zip', '--site', 'tarn-lane']);
    expect(unzipSync(readFileSync(join(folder, 'one.zip')))['people.jsonl']).toHaveLength(0);
  });

  test('begins the record of an older log book with who is there', async () => {
    cpSync('tests/store/books/book', join(folder, 'yard'), { recursive: true });
    expect((await run(['log', 'list', '--people'])).stdout).toBe('0 events.\n');
    expect((await run(['people', 'password', 'M. Lund'], 'four lids under rain\n')).status).toBe(0);
    expect((await run(['log', 'list', '--people'])).stdout).toMatch(
      /1 +\S+ +this machine +The record begins\. There were: A\. Vance \(crew\), M\. Lund \(manager\)\n +2 .*M\. Lund has a new password\n$/,
    );
    expect(await objectOf('log', 'verify')).toMatchObject({ ok: true, people: 2 });
  });
});
