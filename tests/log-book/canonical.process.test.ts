import { createHash } from 'node:crypto';
import { cpSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { DatabaseSync } from '@photostructure/sqlite';
import { strFromU8, unzipSync } from 'fflate';
import { describe, expect, test } from 'vitest';
import { canonicalText } from '../../src/log-book/index.ts';

const BOOKS = 'tests/store/books';

/** The lines of a book's export, as the canonicalize of that day wrote them. */
const exported = () =>
  strFromU8(unzipSync(readFileSync(join(BOOKS, 'book.zip')))['entries.jsonl'])
    .trimEnd()
    .split('\n');

/** The texts kept in a book's database; a copy is opened, since opening may write. */
function kept(): string[] {
  const folder = mkdtempSync(join(tmpdir(), 'oilshed-canonical-'));
  cpSync(join(BOOKS, 'book'), folder, { recursive: true });
  const database = new DatabaseSync(join(folder, 'log.sqlite'));
  try {
    return database
      .prepare('select entry from entries order by site, seq')
      .all()
      .map((row) => String((row as { entry: unknown }).entry));
  } finally {
    database.close();
    rmSync(folder, { recursive: true, force: true });
  }
}

const sha256 = (text: string) => createHash('sha256').update(text, 'utf8').digest('hex');

describe.each([
  ['the export', exported],
  ['the database', kept],
])('old chains in %s', (_, texts) => {
  test('are written byte for byte as they were, whatever the order of keys, and give their hashes', () => {
    const lines = texts();
    expect(lines.length).toBeGreaterThan(5);
    for (const line of lines) {
      const entry: Record<string, unknown> = JSON.parse(line);
      expect(canonicalText(entry)).toBe(line);
      const { hash, ...rest } = entry;
      const turned = Object.fromEntries(Object.entries(rest).reverse());
      expect(sha256(canonicalText(turned))).toBe(hash);
    }
  });
});

describe('RFC 8785', () => {
  test('its own example (section 3.2) is written as it says', () => {
    const input = JSON.parse(
      '{"numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001], "string": "\\u20ac$\\u000F\\u000aA\'\\u0042\\u0022\\u005c\\\\\\"\\/", "literals": [null, true, false]}',
    );
    expect(canonicalText(input)).toBe(
      '{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],"string":"€$\\u000f\\nA\'B\\"\\\\\\\\\\"/"}',
    );
  });

  test('keys stand in the order of their UTF-16 units (section 3.2.3)', () => {
    const keys = ['\u20ac', '\r', '\ufb33', '1', '\ud83d\ude00', '\u0080', '\u00f6'];
    const text = canonicalText(Object.fromEntries(keys.map((key) => [key, 0])));
    expect(Object.keys(JSON.parse(text)).sort()).toEqual([...keys].sort());
    expect([...text.matchAll(/"((?:\\.|[^"])*)":/g)].map(([, key]) => JSON.parse(`"${key}"`))).toEqual([
      '\r',
      '1',
      '\u0080',
      '\u00f6',
      '\u20ac',
      '\ud83d\ude00',
      '\ufb33',
    ]);
  });

  test.each([
    [-0, '0'],
    [5e-324, '5e-324'],
    [1.7976931348623157e308, '1.7976931348623157e+308'],
    [9007199254740992, '9007199254740992'],
    [295147905179352830000, '295147905179352830000'],
    [9.999999999999997e22, '9.999999999999997e+22'],
    [1e23, '1e+23'],
    [0.000001, '0.000001'],
    [1e-7, '1e-7'],
  ])('numbers of its appendix B: %d', (value, text) => {
    expect(canonicalText({ value })).toBe(`{"value":${text}}`);
  });
});
