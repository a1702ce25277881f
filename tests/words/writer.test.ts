import { expect, test } from 'vitest';
import { writerWords } from '../../src/words/writer.ts';

test('who wrote an entry is told with the account only where that says more', () => {
  const by = 'J. Ortega';
  expect(writerWords({ by })).toBe('J. Ortega');
  expect(writerWords({ by, account: 'J. Ortega' })).toBe('J. Ortega');
  expect(writerWords({ by, account: null })).toBe('J. Ortega (this machine)');
  expect(writerWords({ by, account: 'M. Lund' })).toBe('J. Ortega (account M. Lund)');
  expect(writerWords({ by, account: 'M. Lund' }, (name) => name.slice(0, 2))).toBe('J. (account M.)');
});
