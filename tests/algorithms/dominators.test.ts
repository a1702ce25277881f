import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { dominators } from '../../src/algorithms/index.ts';

describe('dominators', () => {
  test('the example of Cooper, Harvey and Kennedy (2001), figure 4, from memory: 6 alone is above all the rest', () => {
    // 6→5, 6→4, 5→1, 4→2, 4→3, 1→2, 2→1, 2→3, 3→2
    const from = [6, 6, 5, 4, 4, 1, 2, 2, 3];
    const to = [5, 4, 1, 2, 3, 2, 1, 3, 2];
    const { first, end } = dominators({ nodeCount: 7, from, to }, 6);
    const above = (node: number) =>
      [1, 2, 3, 4, 5].filter((other) => other !== node && first[other] <= first[node] && first[node] < end[other]);
    for (const node of [1, 2, 3, 4, 5]) expect(above(node)).toEqual([]);
    expect(first[0]).toBe(-1);
  });

  test('a node is above another exactly when taking it out leaves no way there', () => {
    fc.assert(
      fc.property(fc.array(fc.tuple(fc.nat(7), fc.nat(7)), { maxLength: 16 }), (edges) => {
        const from = edges.map(([start]) => start);
        const to = edges.map(([, end]) => end);
        const reach = (without: number) => {
          const met = new Set(without === 0 ? [] : [0]);
          for (let round = 0; round < 8; round++)
            for (const [start, end] of edges) if (met.has(start) && end !== without) met.add(end);
          return met;
        };
        const { first, end } = dominators({ nodeCount: 8, from, to }, 0);
        const all = reach(-1);
        for (let node = 0; node < 8; node++) {
          expect(first[node] >= 0).toBe(all.has(node));
          for (let other = 0; other < 8 && first[node] >= 0; other++) {
            if (other === node || first[other] < 0) continue;
            expect(first[other] <= first[node] && first[node] < end[other]).toBe(!reach(other).has(node));
          }
        }
      }),
      { seed: 71, numRuns: 400 },
    );
  });

  test('a chain of 200,000 nodes does not overflow the stack', () => {
    const from = Array.from({ length: 200_000 }, (_, at) => at);
    const { first, end } = dominators({ nodeCount: 200_001, from, to: from.map((at) => at + 1) }, 0);
    expect([first[200_000], end[0]]).toEqual([200_000, 200_001]);
  });
});
