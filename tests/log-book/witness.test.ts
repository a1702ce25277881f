import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { compareCopy } from '../../src/log-book/index.ts';
import { chainOf, madeEntry } from './made.ts';

const chain = (numbers: readonly number[]) => chainOf(numbers.map((number) => madeEntry(number)));

describe('a copy against the log book', () => {
  const copy = chain([1, 2, 3, 4, 5]);

  test('a book that went on has all of it', () => {
    expect(compareCopy(copy, chain([1, 2, 3, 4, 5, 6]))).toEqual({ common: 5, lacking: 0, isForked: false });
    expect(compareCopy(copy, copy)).toEqual({ common: 5, lacking: 0, isForked: false });
    expect(compareCopy([], copy)).toEqual({ common: 0, lacking: 0, isForked: false });
  });

  test('a book that was restored from an older copy lacks the end', () => {
    expect(compareCopy(copy, copy.slice(0, 3))).toEqual({ common: 3, lacking: 2, isForked: false });
    expect(compareCopy(copy, [])).toEqual({ common: 0, lacking: 5, isForked: false });
  });

  test('a book that was written on since, or anew from some entry on, has gone another way', () => {
    expect(compareCopy(copy, chain([1, 2, 3, 7]))).toEqual({ common: 3, lacking: 2, isForked: true });
    expect(compareCopy(copy, chain([1, 9, 3, 4, 5]))).toEqual({ common: 1, lacking: 4, isForked: true });
    expect(compareCopy(copy, chain([8, 2]))).toEqual({ common: 0, lacking: 5, isForked: true });
  });

  test('the place where they part is where one looking at each entry finds it', () => {
    const length = fc.integer({ min: 0, max: 40 });
    fc.assert(
      fc.property(length, length, length, (same, copyMore, bookMore) => {
        const made = (name: string, more: number) =>
          Array.from({ length: same + more }, (_, at) => ({ hash: at < same ? `${at}` : `${name}${at}` }));
        expect(compareCopy(made('c', copyMore), made('b', bookMore))).toEqual({
          common: same,
          lacking: copyMore,
          isForked: copyMore > 0 && bookMore > 0,
        });
      }),
    );
  });
});
