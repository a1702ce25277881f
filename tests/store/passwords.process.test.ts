import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { dictionary } from '@zxcvbn-ts/language-common';
import { expect, test } from 'vitest';
import { isOutdated, passwordProblems } from '../../src/store/passwords.ts';
import { english } from '../support/english.ts';

const refused = async (password: string, name = 'M. Lund') =>
  (await passwordProblems({ name, password })).map(({ message }) => english(message));

test('a password has 12 to 200 characters, as a reader counts them', async () => {
  expect(await refused('xk3-vane-qu')).toEqual(['it has 11 characters']);
  expect(await refused('xk3-vane-qu7')).toEqual([]);
  // Letter and dots are one character; so is a picture, in two units of UTF-16.
  expect(await refused('xk3-vane-o\u0308')).toEqual(['it has 10 characters']);
  expect(await refused('xk3-vane-q🛢')).toEqual(['it has 11 characters']);
  const long = Array.from({ length: 200 }, (_, n) => 'lids-and-7-drains'[(n * n + 3 * n) % 17]).join('');
  expect(await refused(long)).toEqual([]);
  expect(await refused(`${long}x`)).toEqual(['it has 201 characters']);
});

test('none of the 10,000 commonest is taken, whatever its capitals', async () => {
  const commonest = dictionary['passwords-common'].slice(0, 10_000);
  const long = commonest.filter((each) => each.length >= 12);
  expect(long.length).toBeGreaterThan(15);
  for (const each of long) {
    expect(await refused(each), each).toEqual(['it is one of the commonest passwords']);
    expect(await refused(each.toUpperCase()), each).toEqual(['it is one of the commonest passwords']);
  }
  for (const each of commonest.slice(0, 300)) expect(await isOutdated(each), each).toBe(true);
  expect(await isOutdated('1q2w3e4r5t6y')).toBe(true);
  expect(await isOutdated('a longer password than that')).toBe(false);
});

test('what is soon guessed is not taken, nor what is made of the name', async () => {
  for (const password of ['aaaaaaaaaaaaaaa', 'abcdefghijklmn', 'Password1234!', 'passwordpassword', '123456789012345'])
    expect(await refused(password), password).toEqual(['it is soon guessed']);
  expect(await refused('Ortega ortega', 'J. Ortega')).toEqual(['it is soon guessed']);
  expect(await refused('Oilshed2026!')).toEqual(['it is soon guessed']);
  expect(await refused('four lids under rain')).toEqual([]);
});

test('the lists are in no page and not in the program’s own files: they are loaded from their packages when needed', () => {
  for (const folder of ['dist/web', 'dist/cli']) {
    const files = readdirSync(folder, { recursive: true, encoding: 'utf8' }).filter((name) =>
      /\.(js|html|json)$/.test(name),
    );
    expect(files.length).toBeGreaterThan(3);
    for (const name of files)
      expect(readFileSync(join(folder, name)).includes('qazwsxedcrfv'), `${folder}/${name}`).toBe(false);
  }
});
