import { describe, expect, test } from 'vitest';
import { isInside } from '../../src/algorithms/index.ts';
import {
  areaOf,
  distanceTo,
  divideShares,
  instantOf,
  lengthOf,
  metreFrame,
  type Point,
} from '../../src/site-map/index.ts';

describe('measuring', () => {
  test('one degree of latitude at the equator is 110,574 m and one of longitude 111,320 m (WGS 84, from memory)', () => {
    expect(
      lengthOf([
        [0, 0],
        [0, 1],
      ]),
    ).toBeCloseTo(110_574.4, 0);
    expect(
      lengthOf([
        [0, 0],
        [1, 0],
      ]),
    ).toBeCloseTo(111_319.5, 0);
  });

  test('the area of a polygon with a hole is the outer less the hole, whichever way the rings wind', () => {
    const ring = (size: number, turned: boolean) => {
      const corners = [
        [0, 0],
        [size, 0],
        [size, size],
        [0, size],
        [0, 0],
      ].map(([x, y]) => [x - size / 2, y - size / 2]);
      return turned ? corners.reverse() : corners;
    };
    const outer = areaOf({ type: 'Polygon', coordinates: [ring(0.002, false)] });
    const hole = areaOf({ type: 'Polygon', coordinates: [ring(0.001, false)] });
    for (const turned of [false, true]) {
      const both = areaOf({ type: 'Polygon', coordinates: [ring(0.002, turned), ring(0.001, !turned)] });
      expect(both).toBeCloseTo(outer - hole, 6);
    }
    // 0.002° × 0.002° at the equator: 222.64 m × 221.15 m.
    expect(outer).toBeCloseTo(222.639 * 221.149, -1);
    expect(areaOf({ type: 'MultiPolygon', coordinates: [[ring(0.001, false)], [ring(0.001, true)]] })).toBeCloseTo(
      2 * hole,
      6,
    );
  });

  test('the metre frame keeps geodesic lengths within 10 parts in a million over 2 km, and comes back where it began', () => {
    const frame = metreFrame([-105.1, 39.7]);
    const places = [
      [-105.09, 39.705],
      [-105.112, 39.695],
    ];
    const [a, b] = places.map((place) => frame.toMetres(place));
    expect(Math.hypot(a[0] - b[0], a[1] - b[1]) / lengthOf(places)).toBeCloseTo(1, 5);
    const [lon, lat] = frame.toPosition(a);
    expect([lon, lat]).toEqual([expect.closeTo(-105.09, 9), expect.closeTo(39.705, 9)]);
  });

  test('inside and outside, and the distance to the edge, of a square with a hole', () => {
    const square = (from: number, to: number): Point[] => [
      [from, from],
      [to, from],
      [to, to],
      [from, to],
      [from, from],
    ];
    const shape = [[square(0, 10), square(4, 6)]];
    expect(isInside(shape.flat(), [1, 1])).toBe(true);
    expect(isInside(shape.flat(), [5, 5])).toBe(false);
    expect(isInside(shape.flat(), [11, 5])).toBe(false);
    expect(distanceTo(shape, [1, 1])).toBe(0);
    expect(distanceTo(shape, [13, 14])).toBe(5);
    expect(distanceTo(shape, [5, 5])).toBe(1);
  });
});

describe('shares', () => {
  test('open shares divide what the stated ones leave', () => {
    expect(divideShares([0.7, undefined]).shares).toEqual([0.7, expect.closeTo(0.3, 12)]);
    expect(divideShares([undefined, undefined]).shares).toEqual([0.5, 0.5]);
  });

  test('shares above 1 together are scaled down, below 1 together left as they are, and roundings closed', () => {
    expect(divideShares([0.8, 0.8]).shares).toEqual([0.5, 0.5]);
    expect(divideShares([0.8, 0.8, undefined]).shares).toEqual([0.5, 0.5, 0]);
    expect(divideShares([0.5, 0.3]).shares).toEqual([0.5, 0.3]);
    const rounded = divideShares([0.333, 0.333, 0.333]).shares;
    expect(rounded.reduce((sum, share) => sum + share, 0)).toBeCloseTo(1, 12);
  });
});

describe('time', () => {
  test('a bare date is midnight in the site’s time zone, summer and winter', () => {
    expect(instantOf('2026-05-30', 'America/Denver')).toBe(Date.parse('2026-05-30T06:00:00Z'));
    expect(instantOf('2026-12-30', 'America/Denver')).toBe(Date.parse('2026-12-30T07:00:00Z'));
    // The day clocks go forward in Denver, 8 March 2026, still begins at seven UTC, the next one at six.
    expect(instantOf('2026-03-08', 'America/Denver')).toBe(Date.parse('2026-03-08T07:00:00Z'));
    expect(instantOf('2026-03-09', 'America/Denver')).toBe(Date.parse('2026-03-09T06:00:00Z'));
  });

  test('an offset or Z names its own instant; a time without one is local', () => {
    expect(instantOf('2026-05-30T14:05:00-06:00', 'UTC')).toBe(Date.parse('2026-05-30T20:05:00Z'));
    expect(instantOf('2026-05-30T14:05Z', 'America/Denver')).toBe(Date.parse('2026-05-30T14:05:00Z'));
    expect(instantOf('2026-05-30T14:05', 'Europe/Zurich')).toBe(Date.parse('2026-05-30T12:05:00Z'));
  });

  test.each(['', 'May 30', '2026-13-01', '2026-02-30', '2026-05-30T25:00', '30.05.2026', '2026-5-3'])(
    '%j is no date',
    (text) => {
      expect(instantOf(text, 'UTC')).toBeUndefined();
    },
  );
});
