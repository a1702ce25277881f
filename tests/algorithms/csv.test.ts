import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { csvRows } from '../../src/algorithms/index.ts';

const csvCell = (value: string | number | null | undefined) => csvRows([['', value]]).slice(1, -2);

/** A cell as a reader of CSV has it, and the cells that one with another separator makes of it. */
const read = (cell: string) => (cell.startsWith('"') ? cell.slice(1, -1).replaceAll('""', '"') : cell);
const FORMULA = /^([\s\p{Cc}\p{Cf}"']*)[=+\-@\u2212\uff0b\uff0d\uff1d\uff20]/u;
function isFormula(text: string): boolean {
  const [, before] = FORMULA.exec(text) ?? [];
  return before !== undefined && !before.endsWith("'") && !/^-?\d+(\.\d+)?$/.test(text);
}

describe('a cell of CSV', () => {
  test('keeps plain words and numbers as they are', () => {
    const plain = ['Tarn Lane', '-105.25', '-5', '12', 'a-b', 'a=b', "O'Neil", 'x; y', ''];
    expect(plain.map(csvCell).map(read)).toEqual(plain);
    expect([csvCell(-5), csvCell(0.5), csvCell(null), csvCell(undefined)]).toEqual(['-5', '0.5', '', '']);
    expect(csvCell('a "b", c')).toBe('"a ""b"", c"');
  });

  test('is no formula, with full-width characters, blanks, quotes or another separator before it either', () => {
    const tricks = [
      '=1+1',
      '+1',
      '-1+1',
      '@SUM(A1)',
      '\t=1',
      '\r=1',
      '\n=1',
      '＝1',
      '＋1',
      '－1',
      '＠A1',
      ' =1',
      '\u200b=1',
    ];
    const inside = ['a;=1', 'a;"=1', 'a\t=1', 'a\n＝1', 'a;\u00a0＠x', 'a|=1', ';=1'];
    expect(
      [...tricks, ...inside]
        .map(csvCell)
        .map(read)
        .filter((text) => text.split(/[;\t\r\n|]/).some(isFormula)),
    ).toEqual([]);
    expect(csvCell('=1+1')).toBe("'=1+1");
    // What begins with a separator is led by a quote mark, whatever follows.
    expect(csvCell('\tx')).toBe(`"'\tx"`);
    expect(csvCell('a;=1')).toBe(`"a;'=1"`);
  });

  test('is never a formula, whatever it is made of, and loses nothing', () => {
    const piece = fc.constantFrom('=', '＝', '@', '-', '1', 'a', ';', '\t', '\n', ' ', '"', ',', '\u200b', '|');
    fc.assert(
      fc.property(fc.array(piece, { maxLength: 10 }), (pieces) => {
        const text = pieces.join('');
        const back = read(csvCell(text));
        expect(back.replaceAll("'", '')).toBe(text);
        expect(back.split(/[;\t\r\n|]/).filter(isFormula)).toEqual([]);
      }),
      { seed: 66, numRuns: 5000 },
    );
  });

  test('a quarter of a million tabs take no time', () => {
    const start = performance.now();
    csvCell('\t'.repeat(250_000));
    expect(performance.now() - start).toBeLessThan(500);
  });
});
