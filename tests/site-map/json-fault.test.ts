import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { firstFault } from '../../src/site-map/json-fault.ts';

const isJson = (text: string) => {
  try {
    JSON.parse(text);
    return true;
  } catch {
    return false;
  }
};

describe('where a text stops being JSON', () => {
  test.each([
    ['{"a": 1}', null],
    [' [true, false, null, -1.5e+3, "\\u00e9\\n"] ', null],
    ['{"a": 1,}', 8],
    ['{a: 1}', 1],
    ['{"a" 1}', 5],
    ['[1 2]', 3],
    ['[1, 2}', 5],
    ['[01]', 2],
    ['[nul]', 1],
    ['["a\nb"]', 3],
    ['["\\x"]', 3],
    ['[] []', 3],
    ["{'a': 1}", 1],
    ['{"a": [1, 2', 11],
    ['{"a": "long te', 14],
    ['[tr', 3],
    ['', 0],
  ])('%j: %j', (text, at) => {
    expect(firstFault(text)).toBe(at);
  });

  test('a fault is told of just those texts that are no JSON', () => {
    const pieces = fc.constantFrom(
      '{',
      '}',
      '[',
      ']',
      '"',
      '\\',
      ':',
      ',',
      'a',
      '1',
      '-',
      '.',
      'e',
      ' ',
      '\t',
      '"a"',
      'null',
    );
    const texts = fc.oneof(
      fc.json(),
      fc.array(pieces, { maxLength: 12 }).map((parts) => parts.join('')),
    );
    fc.assert(
      fc.property(texts, (text) => {
        expect(firstFault(text) === null).toBe(isJson(text));
      }),
      { seed: 7, numRuns: 5000 },
    );
  });

  test('a text that is cut short is at fault in its last word, and one character too many is found at its place', () => {
    const texts = fc.array(fc.jsonValue(), { minLength: 1 }).map((value) => JSON.stringify(value));
    fc.assert(
      fc.property(texts, fc.nat(), (text, cut) => {
        const short = text.slice(0, cut % text.length);
        expect(firstFault(short)).toBeGreaterThanOrEqual(short.length - '\\u0041'.length);
        expect(firstFault(`${text}}`)).toBe(text.length);
      }),
      { seed: 8, numRuns: 2000 },
    );
  });
});
