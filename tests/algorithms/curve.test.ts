import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  amountAt,
  beginningOf,
  bothOf,
  type Curve,
  evenly,
  later,
  minuteOf,
  NOTHING,
  onGrid,
  partOf,
  past,
  pumped,
  restOf,
  totalOf,
  until,
} from '../../src/algorithms/index.ts';

const steps = fc.array(
  fc.tuple(
    fc.double({ min: 0.01, max: 20, noNaN: true }),
    fc.oneof(fc.constant(0), fc.double({ min: 0, max: 50, noNaN: true })),
  ),
  { minLength: 1, maxLength: 8 },
);
/** A rising curve out of minutes and amounts to go on by. */
const made = (by: readonly (readonly [number, number])[], start = 0): Curve => {
  const [minutes, amounts] = [[start], [0]];
  for (const [minute, amount] of by) {
    minutes.push((minutes.at(-1) ?? 0) + minute);
    amounts.push((amounts.at(-1) ?? 0) + amount);
  }
  return { minutes, amounts };
};
const curve = fc.tuple(steps, fc.double({ min: 0, max: 30, noNaN: true })).map(([by, start]) => made(by, start));
/** Two curves of which the second is never above the first: less of it, and later. */
const lessOrLater = fc
  .tuple(curve, fc.double({ min: 0, max: 1, noNaN: true }), fc.double({ min: 0, max: 10, noNaN: true }))
  .map(([all, part, minutes]) => [all, later(partOf(all, part), minutes)] as const);
const share = fc.double({ min: 0, max: 1, noNaN: true });
const amount = fc.oneof(fc.constant(Number.POSITIVE_INFINITY), fc.double({ min: 0, max: 80, noNaN: true }));
const minute = fc.double({ min: -5, max: 90, noNaN: true });
const AT = Array.from({ length: 121 }, (_, at) => at - 5 + at / 7);

const everyOperator = fc.record({
  from: minute,
  part: share,
  most: amount,
  start: share,
  perMinute: fc.double({ min: 0.05, max: 40, noNaN: true }),
  step: fc.double({ min: 0.1, max: 5, noNaN: true }),
  end: minute,
});
type Sizes = typeof everyOperator extends fc.Arbitrary<infer T> ? T : never;
const OPERATORS: Record<string, (a: Curve, sizes: Sizes) => Curve> = {
  past: (a, sizes) => past(a, sizes),
  until: (a, { end }) => until(a, end),
  pumped: (a, { start, perMinute }) => pumped(a, { start: start * 60, perMinute }),
  onGrid: (a, { step }) => onGrid([a], step),
  partOf: (a, { part }) => partOf(a, part),
};

describe('a curve of what has come by when', () => {
  test('comes evenly, and is told by minute and by amount', () => {
    const ten = evenly(10, 5);
    expect([-1, 0, 2, 5, 9].map((at) => amountAt(ten, at))).toEqual([0, 0, 4, 10, 10]);
    expect([minuteOf(ten, 4), minuteOf(ten, 10), minuteOf(ten, 11)]).toEqual([2, 5, Number.POSITIVE_INFINITY]);
    expect([beginningOf(later(ten, 3)), beginningOf(NOTHING), totalOf(NOTHING), totalOf(ten)]).toEqual([
      3,
      Number.POSITIVE_INFINITY,
      0,
      10,
    ]);
  });

  test('two together, by their values', () => {
    fc.assert(
      fc.property(curve, curve, (a, b) => {
        const both = bothOf(a, b);
        for (const at of AT) expect(amountAt(both, at)).toBeCloseTo(amountAt(a, at) + amountAt(b, at), 9);
      }),
    );
  });

  test('past something that keeps a part from a minute on, until it is full: by the formula, at every minute', () => {
    fc.assert(
      fc.property(curve, minute, share, amount, (a, from, part, most) => {
        const left = past(a, { from, part, most });
        const before = amountAt(a, from);
        for (const at of AT) {
          const come = amountAt(a, at);
          expect(amountAt(left, at)).toBeCloseTo(come - Math.min(part * Math.max(0, come - before), most), 8);
          expect(amountAt(restOf(a, left), at)).toBeCloseTo(come - amountAt(left, at), 8);
        }
      }),
    );
  });

  test('until a minute, and no more', () => {
    fc.assert(
      fc.property(curve, minute, (a, end) => {
        for (const at of AT) expect(amountAt(until(a, end), at)).toBeCloseTo(amountAt(a, Math.min(at, end)), 9);
      }),
    );
  });

  test('a pump that has started passes on the most it can: by the least of what came by a minute and what it did since', () => {
    fc.assert(
      fc.property(curve, share, fc.double({ min: 0.05, max: 40, noNaN: true }), (a, part, perMinute) => {
        const start = part * totalOf(a);
        const out = pumped(a, { start, perMinute });
        const begins = start > 0 ? minuteOf(a, start) : a.minutes[0];
        for (const at of AT.filter((each) => each > begins)) {
          // What came less what the pump can do is straight between points, so its least stands at one of them.
          const bounds = [...a.minutes, at].filter((each) => each > begins && each <= at);
          const most = bounds.map((each) => amountAt(a, each) + perMinute * (at - each));
          expect(amountAt(out, at)).toBeCloseTo(Math.min(perMinute * (at - begins), ...most), 8);
        }
        expect(totalOf(out)).toBeCloseTo(totalOf(a), 9);
      }),
    );
    expect(pumped(evenly(10, 5), { start: 11, perMinute: 1 })).toEqual(NOTHING);
  });

  test('on a grid nothing is lost, and nothing is off by more than a step', () => {
    fc.assert(
      fc.property(curve, fc.double({ min: 0.1, max: 5, noNaN: true }), (a, step) => {
        const grid = onGrid([a], step);
        expect(totalOf(grid)).toBe(totalOf(a));
        for (const at of AT) {
          expect(amountAt(grid, at)).toBeGreaterThanOrEqual(amountAt(a, at - step) - 1e-9);
          expect(amountAt(grid, at)).toBeLessThanOrEqual(amountAt(a, at + step) + 1e-9);
        }
      }),
    );
  });

  test.each(Object.entries(OPERATORS))(
    '%s: less or later in never gives more out, minutes rise and amounts never fall',
    (_, operator) => {
      fc.assert(
        fc.property(lessOrLater, everyOperator, ([more, less], sizes) => {
          const [out, lessOut] = [operator(more, sizes), operator(less, sizes)];
          for (const at of AT) expect(amountAt(lessOut, at)).toBeLessThanOrEqual(amountAt(out, at) + 1e-9);
          for (const { minutes, amounts } of [out, lessOut]) {
            for (let at = 1; at < minutes.length; at++) {
              expect(minutes[at]).toBeGreaterThan(minutes[at - 1]);
              expect(amounts[at]).toBeGreaterThanOrEqual(amounts[at - 1] - 1e-9);
            }
          }
        }),
      );
    },
  );
});
