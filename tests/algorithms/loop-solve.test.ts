import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type Loop, solveLoop } from '../../src/algorithms/index.ts';

const circle = (size: number, onward: number, hit: number[]): Loop => ({
  size,
  from: [...Array(size).keys()],
  to: [...Array(size).keys()].map((state) => (state + 1) % size),
  chance: Array(size).fill(onward),
  hit: Float64Array.from(hit),
});

describe('loop solve', () => {
  test('a loop that nothing leaves gives 0, not NaN', () => {
    expect([...solveLoop(circle(3, 1, [0, 0, 0]))]).toEqual([0, 0, 0]);
  });

  test('a lossless loop with one way out of one part in a billion still leads out for certain', () => {
    const loop = circle(2, 1, [0, 1e-9]);
    loop.chance = [1, 1 - 1e-9];
    for (const chance of solveLoop(loop)) expect(chance).toBeCloseTo(1, 6);
  });

  test('a circle of two with half lost each round gives the sum of its geometric series', () => {
    // From state 1: hit 1/4 at once, else back through state 0 with chance 1/2 · 1/2.
    const loop: Loop = { size: 2, from: [0, 1], to: [1, 0], chance: [0.5, 0.5], hit: Float64Array.from([0, 0.25]) };
    const [, atOne] = solveLoop(loop);
    expect(atOne).toBeCloseTo(0.25 / (1 - 0.25), 12);
  });

  test('what goes into states that circle for ever is lost, in whatever order they stand', () => {
    // A and B lead only to each other; C leads to A with chance 1/2, and hits with the other half.
    const orders = [
      [0, 1, 2],
      [0, 2, 1],
      [1, 0, 2],
      [1, 2, 0],
      [2, 0, 1],
      [2, 1, 0],
    ];
    for (const [a, b, c] of orders) {
      const hit = new Float64Array(3);
      hit[c] = 0.5;
      const answer = solveLoop({ size: 3, from: [a, b, b, c], to: [b, a, c, a], chance: [1, 1, 0, 0.5], hit });
      expect([a, b, c].map((state) => answer[state])).toEqual([0, 0, 0.5]);
    }
  });

  test('elimination equals plain iteration of h = P·h + hit on random loops', () => {
    const loops = fc.record({
      steps: fc.array(fc.record({ from: fc.nat(7), to: fc.nat(7), weight: fc.integer({ min: 1, max: 9 }) }), {
        minLength: 1,
        maxLength: 24,
      }),
      hits: fc.array(fc.integer({ min: 0, max: 9 }), { minLength: 8, maxLength: 8 }),
      lost: fc.array(fc.integer({ min: 1, max: 5 }), { minLength: 8, maxLength: 8 }),
    });
    fc.assert(
      fc.property(loops, ({ steps, hits, lost }) => {
        const sums = hits.map(
          (hit, state) =>
            hit + lost[state] + steps.reduce((so, { from, weight }) => so + (from === state ? weight : 0), 0),
        );
        const loop: Loop = {
          size: 8,
          from: steps.map(({ from }) => from),
          to: steps.map(({ to }) => to),
          chance: steps.map(({ from, weight }) => weight / sums[from]),
          hit: Float64Array.from(hits, (hit, state) => hit / sums[state]),
        };
        let plain = new Float64Array(8);
        for (let round = 0; round < 3000; round++) {
          const next = loop.hit.slice();
          loop.from.forEach((from, step) => {
            next[from] += loop.chance[step] * plain[loop.to[step]];
          });
          plain = next;
        }
        solveLoop(loop).forEach((chance, state) => void expect(chance).toBeCloseTo(plain[state], 10));
      }),
      { seed: 21, numRuns: 300 },
    );
  });

  test('the two ways, elimination (300 states) and iteration (301), both give a long circle its geometric series', () => {
    for (const size of [300, 301]) {
      const hit = Array.from({ length: size }, (_, state) => (state === 0 ? 0.05 : 0));
      const answer = solveLoop(circle(size, 0.95, hit));
      const start = 0.05 / (1 - 0.95 ** size);
      expect(answer[0]).toBeCloseTo(start, 12);
      expect(answer[size - 1]).toBeCloseTo(0.95 * start, 12);
    }
  });
});
