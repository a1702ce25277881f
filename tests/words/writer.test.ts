import { expect, test } from 'vitest';
import { writerWords } from '../../src/words/writer.ts';
import { ENGLISH } from '../support/english.ts';

test('who wrote an entry is told with the account only where that says more', () => {
  const by = 'J. Ortega';
  const whole = (name: string) => name;
  expect(writerWords({ by }, whole, ENGLISH)).toBe('J. Ortega');
  expect(writerWords({ by, account: 'J. Ortega' }, whole, ENGLISH)).toBe('J. Ortega');
  expect(writerWords({ by, account: null }, whole, ENGLISH)).toBe('J. Ortega (this machine)');
  expect(writerWords({ by, account: 'M. Lund' }, whole, ENGLISH)).toBe('J. Ortega (account M. Lund)');
  expect(writerWords({ by, account: 'M. Lund' }, (name) => name.slice(0, 2), ENGLISH)).toBe('J. (account M.)');
});
